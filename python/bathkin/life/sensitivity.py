"""Sensitivity of the dump to each number of a recipe."""

from __future__ import annotations

import math
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
# Below this share of the base, in per cent, a shop's step does not matter.
_LEAST_PCT = 0.1
# What each ranking is said as: the field of a row, its words, its unit.
_RANKED = {
    "area": ("area_m2_per_step", "area plated until the dump", "m2"),
    "money": ("cost_per_um_dm2_per_step", "cost per um dm2", "%"),
    "hours": ("plating_h_per_step", "hours of plating until the dump", "h"),
}


class LifeSensitivity(Tabled, results.LifeSensitivity):
    """What a shop's step of each number does to the dump: 0.1 pH, 1 degC, 1 g/L.

    Made by `Recipe.life_sensitivity`. Central differences between whole lives at one per cent less
    and more, to first order in the step; ranked by what nights and weekends do not make jump.
    """

    __slots__ = ("_of",)
    _INDEXED = True
    _of: Recipe

    @property
    def recipe(self) -> Recipe:
        """The recipe."""
        return self._of

    def table(self) -> pd.DataFrame:
        """A row per path, the one whose step moves most first.

        `value`, then `turnovers`, `plating_h`, `clock_h`, `area_m2` and `cost_per_um_dm2` as
        d ln / d ln value; `shop_step` in the unit of the number, `shop_step_is` in words, and what
        that step more does: `area_m2_per_step`, `plating_h_per_step`, `cost_per_um_dm2_per_step`
        (costs are NaN without prices); `limit_low` and `limit_high` (what ends the life at either
        side) and `limit_changes`.
        """
        import pandas as pd

        rows = []
        for row in self.rows:
            low, high = row.limits
            rows.append({**dict(row), "limit_low": low, "limit_high": high})
        names = ["path", "value", "turnovers", "plating_h", "clock_h", "area_m2"]
        names += ["cost_per_um_dm2", "shop_step", "shop_step_is"]
        names += [field for field, _, _ in _RANKED.values()]
        names += ["limit_changes", "limit_low", "limit_high"]
        table: pd.DataFrame = pd.DataFrame(rows, columns=names).set_index("path")
        costs = ["cost_per_um_dm2", "cost_per_um_dm2_per_step"]
        table[costs] = table[costs].astype(float)
        return table

    def _sources(self) -> list[Path]:
        return self._of.files()

    def _drawn(self) -> Figure:
        from bathkin.plots.picture import BLUE, INK, RED, Picture, plain_axes, small_print

        rows = shown_rows(self)[::-1]
        figure = Picture(figsize=(8.4, 1.4 + 0.26 * len(rows)), layout="constrained")
        axes = figure.add_subplot()
        plain_axes(axes)
        field, words, unit = _RANKED[self.by]
        values = [moved(self, row, field) for row in rows]
        colours = [BLUE if value >= 0.0 else RED for value in values]
        hatches = ["///" if row.limit_changes else "" for row in rows]
        names = [f"{row.path}, {row.shop_step_is}" for row in rows]
        bars = axes.barh(names, values, color=colours, height=0.7)
        for bar, hatch in zip(bars, hatches, strict=True):
            bar.set_hatch(hatch)
            bar.set_edgecolor("white")
        axes.axvline(0.0, color=INK, linewidth=0.8)
        axes.tick_params(axis="y", labelsize=7.5)
        said = f"{words}: more for the step, {unit}".replace(" um ", " µm ").replace("m2", "m²")
        axes.set_xlabel(said, fontsize=9)
        title = f"{self._of.name}: sensitivity of the dump"
        axes.set_title(title, loc="left", fontsize=10, color=INK)
        notes = ["each number by the step behind it, to first order", "estimate"]
        if any(hatches):
            notes.insert(0, "hatched: another limit comes first within the step")
        small_print(figure, notes)
        return figure

    def __repr__(self) -> str:
        return sensitivity_text(self)


def life_sensitivity(recipe: Recipe, paths: Sequence[str] | None, by: str) -> LifeSensitivity:
    """See `Recipe.life_sensitivity`."""
    listed = [paths] if isinstance(paths, str) else paths
    wanted = None
    if listed is not None:
        wanted = [word("paths", path) for path in several(listed, "paths")]
    return made_from(_core.life_sensitivity(recipe._core, wanted, word("by", by)), recipe)


def moved(found: LifeSensitivity, row: results.Sensitivity, field: str) -> float:
    """What a step does, in the unit it is shown in; a cost in per cent of the cost."""
    value: float = getattr(row, field) or 0.0
    if field == "cost_per_um_dm2_per_step":
        return 100.0 * value / (found.base_cost_per_um_dm2 or 1.0)
    return value


def shown_rows(found: LifeSensitivity) -> list[results.Sensitivity]:
    """The strongest rows: those that move area, hours or cost by a share that matters."""
    base = found.base

    def matters(row: results.Sensitivity) -> bool:
        shares = [
            100.0 * row.area_m2_per_step / base.area_m2,
            100.0 * row.plating_h_per_step / base.plating_h,
            moved(found, row, "cost_per_um_dm2_per_step"),
        ]
        return max(map(abs, shares)) >= _LEAST_PCT

    return [row for row in found.rows if matters(row)][:_SHOWN]


def sensitivity_text(found: LifeSensitivity) -> str:
    """The strongest rows, a line each."""
    base, rows = found.base, shown_rows(found)
    note = []
    for row in rows:
        low, high = row.limits
        note.append(f"{low} / {high}" if row.limit_changes else "")
    columns = [
        Column("number", [row.path for row in rows], left=True),
        Column("step", [row.shop_step_is for row in rows], left=True),
        Column("area\nm2", [_signed(row.area_m2_per_step, base.area_m2) for row in rows]),
        Column("plating\nh", [_signed(row.plating_h_per_step, base.plating_h) for row in rows]),
    ]
    if found.currency is not None:
        costs = [_signed(moved(found, row, _RANKED["money"][0]), 10.0) for row in rows]
        columns.append(Column("cost\n%", costs))
    columns.append(Column("value\nnow", [number(row.value) for row in rows]))
    if any(note):
        columns.append(Column("first limit changes", note, left=True))
    cost = ""
    if found.base_cost_per_um_dm2 is not None:
        cost = f", {number(found.base_cost_per_um_dm2)} {found.currency} per um dm2"
    title = (
        f"sensitivity of the dump of {found.recipe.name}, ranked by {_RANKED[found.by][1]}: what a"
        f" step more does (now {number(base.area_m2)} m2, {number(base.plating_h)} h of"
        f" plating{cost}, {number(base.turnovers, 3)} turnovers, {number(base.clock_h)} h, by"
        f" {base.limit})"
    )
    weak = len(found.rows) - len(rows)
    notes = (
        "steps as a shop sets them, 1 % where the number has no such unit; to first order, so a"
        " step of 1 g/L of what is 30 g/L is a guide; area, plating hours and cost per um dm2 do"
        f" not jump across nights and weekends; {weak} weaker ones and {len(found.skipped)} that"
        " are zero or cannot be moved are left out, --json gives all"
    )
    head = layout.wrapped(title, 0, 2)
    return f"{head}\n\n{layout.render(columns)}\n{layout.wrapped(notes, 0, 2)}"


def _signed(change: float, base: float) -> str:
    """A change with its sign, to some hundredths of a per cent of the base."""
    decimals = max(0, 3 - math.floor(math.log10(base)))
    rounded = round(change, decimals)
    return f"{rounded:+.{decimals}f}" if rounded else "0"
