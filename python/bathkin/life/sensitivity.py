"""Sensitivity of the dump time to each number of a recipe."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from bathkin import _core
from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.arguments import word
from bathkin.core.layout import Column, number
from bathkin.core.numbers import several
from bathkin.core.result import made_from
from bathkin.life import results

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.recipe.recipe import Recipe

_SHOWN = 20
# Below this a number does not matter.
_LEAST = 0.005


class LifeSensitivity(Tabled, results.LifeSensitivity):
    """What one per cent more of each number does to the dump, in per cent.

    Made by `Recipe.life_sensitivity`. Central differences between whole lives at one per cent less
    and more; turnovers are those of plated metal, which doses do not round.
    """

    __slots__ = ("_of",)
    _INDEXED = True
    _of: Recipe

    @property
    def recipe(self) -> Recipe:
        """The recipe."""
        return self._of

    def table(self) -> pd.DataFrame:
        """A row per path, the strongest first.

        `value`, then `turnovers`, `plating_h`, `clock_h` and `area_m2` as d ln / d ln value,
        `limit_low` and `limit_high` (what ends the life at either side) and `limit_changes`.
        """
        import pandas as pd

        rows = []
        for row in self.rows:
            low, high = row.limits
            rows.append({**dict(row), "limit_low": low, "limit_high": high})
        names = ["path", "value", "turnovers", "plating_h", "clock_h", "area_m2"]
        names += ["limit_changes", "limit_low", "limit_high"]
        table: pd.DataFrame = pd.DataFrame(rows, columns=names).set_index("path")
        return table

    def _sources(self) -> list[Path]:
        return self._of.files()

    def _drawn(self) -> Figure:
        from bathkin.plots.picture import BLUE, INK, RED, Picture, plain_axes, small_print

        rows = [row for row in self.rows if abs(row.turnovers) >= _LEAST][:_SHOWN][::-1]
        figure = Picture(figsize=(8.4, 1.4 + 0.26 * len(rows)), layout="constrained")
        axes = figure.add_subplot()
        plain_axes(axes)
        values = [row.turnovers for row in rows]
        colours = [BLUE if value >= 0.0 else RED for value in values]
        hatches = ["///" if row.limit_changes else "" for row in rows]
        bars = axes.barh([row.path for row in rows], values, color=colours, height=0.7)
        for bar, hatch in zip(bars, hatches, strict=True):
            bar.set_hatch(hatch)
            bar.set_edgecolor("white")
        axes.axvline(0.0, color=INK, linewidth=0.8)
        axes.tick_params(axis="y", labelsize=7.5)
        axes.set_xlabel("% more turnovers at the dump for 1 % more", fontsize=9)
        title = f"{self._of.name}: sensitivity of the dump time"
        axes.set_title(title, loc="left", fontsize=10, color=INK)
        notes = ["per cent of the number as written: 1 % of 88 °C is 0.88 °C", "estimate"]
        if any(hatches):
            notes.insert(0, "hatched: another limit comes first within the step")
        small_print(figure, notes)
        return figure

    def __repr__(self) -> str:
        return sensitivity_text(self)


def life_sensitivity(recipe: Recipe, paths: Sequence[str] | None) -> LifeSensitivity:
    """See `Recipe.life_sensitivity`."""
    listed = [paths] if isinstance(paths, str) else paths
    wanted = None
    if listed is not None:
        wanted = [word("paths", path) for path in several(listed, "paths")]
    return made_from(_core.life_sensitivity(recipe._core, wanted), recipe)


def sensitivity_text(found: LifeSensitivity) -> str:
    """The strongest rows, a line each."""
    base = found.base
    moving = ("turnovers", "area_m2", "plating_h")
    rows = [row for row in found.rows if max(abs(getattr(row, name)) for name in moving) >= _LEAST][
        :_SHOWN
    ]
    note = []
    for row in rows:
        low, high = row.limits
        note.append(f"{low} / {high}" if row.limit_changes else "")
    columns = [
        Column("number", [row.path for row in rows], left=True),
        Column("value", [number(row.value) for row in rows]),
        Column("turnovers\n%", [f"{row.turnovers:+.2f}" for row in rows]),
        Column("area\n%", [f"{row.area_m2:+.2f}" for row in rows]),
        Column("plating\n%", [f"{row.plating_h:+.2f}" for row in rows]),
        Column("clock\n%", [f"{row.clock_h:+.2f}" for row in rows]),
    ]
    if any(note):
        columns.append(Column("first limit changes", note, left=True))
    title = (
        f"sensitivity of the dump time of {found.recipe.name}: what 1 % more does to the dump (now"
        f" {number(base.turnovers, 3)} turnovers, {number(base.clock_h)} h, by"
        f" {base.limit})"
    )
    weak = len(found.rows) - len(rows)
    notes = (
        "turnovers by metal plated; clock hours jump across nights and weekends, plating hours do"
        " not; 1 % of the number as written (1 % of 88 degC is 0.88 degC);"
        f" {weak} weaker ones and {len(found.skipped)} that are zero or cannot be moved are left"
        " out, --json gives all"
    )
    head = layout.wrapped(title, 0, 2)
    return f"{head}\n\n{layout.render(columns)}\n{layout.wrapped(notes, 0, 2)}"
