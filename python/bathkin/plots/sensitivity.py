"""The picture of a global sensitivity: indices and intervals, or effects and their scatter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from bathkin.plots.picture import BLUE, GREY, INK, Picture, headline, plain_axes, small_print

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.core.results import Flag
    from bathkin.recipe.document import RecipeDocument

_MOST = 12


class Sensitivities(Protocol):
    """What is drawn of a global sensitivity; see `bathkin.GlobalSensitivity`."""

    method: str
    level: float

    @property
    def rows(self) -> Sequence[Any]:
        """A record per output and path, the strongest first."""

    @property
    def outputs(self) -> list[str]:
        """The outputs that have an answer."""

    @property
    def recipe(self) -> RecipeDocument:
        """The recipe that members differ from."""

    @property
    def flags(self) -> Sequence[Flag]:
        """Warnings."""


def plot_sensitivity(found: Sensitivities) -> Figure:
    """See `GlobalSensitivity.plot`."""
    outputs = found.outputs
    longest = max((sum(one.output == name for one in found.rows) for name in outputs), default=1)
    tall = 1.2 + 0.32 * min(longest, _MOST) if found.method == "sobol" else 3.4
    size = (8.0, max(tall, 2.4) * max(len(outputs), 1) + 0.8)
    figure = Picture(figsize=size, layout="constrained")
    for place, name in enumerate(outputs):
        axes = figure.add_subplot(len(outputs), 1, place + 1)
        plain_axes(axes)
        rows = [one for one in found.rows if one.output == name][:_MOST]
        (_shares if found.method == "sobol" else _effects)(axes, rows)
        axes.set_title(name, fontsize=9, color=INK, loc="left")
    if found.method == "sobol":
        headline(figure, f"{found.recipe.name}: parts of the variance (Sobol's indices)")
        lines = [f"lines: {100.0 * found.level:g} % intervals from the scatter of the scramblings"]
    else:
        headline(figure, f"{found.recipe.name}: effects over the whole range (Morris)")
        lines = ["above the line a number acts as much by others as by itself"]
    small_print(figure, [*lines, *map(str, found.flags)])
    return figure


def _shares(axes: Any, rows: Sequence[Any]) -> None:
    """First and total index of each number, the strongest on top."""
    places = np.arange(len(rows))[::-1]
    for shift, field, colour, text in (
        (0.2, "first", BLUE, "first"),
        (-0.2, "total", GREY, "total"),
    ):
        values = np.array([getattr(one, field) for one in rows])
        ends = np.array(
            [
                (getattr(one, field) - getattr(one, f"{field}_low"), getattr(one, f"{field}_high"))
                for one in rows
            ]
        )
        below, above = ends[:, 0], ends[:, 1] - values
        axes.barh(places + shift, values, height=0.36, color=colour, label=text)
        axes.errorbar(values, places + shift, xerr=(below, above), fmt="none", ecolor=INK, lw=1.0)
    axes.set_yticks(places, [one.path for one in rows], fontsize=8)
    axes.set_xlabel("part of the variance", fontsize=9, color=INK)
    axes.legend(fontsize=8, frameon=False, loc="lower right")


def _effects(axes: Any, rows: Sequence[Any]) -> None:
    """Size against scatter of the effects."""
    sizes = np.array([one.mean_size for one in rows])
    scatter = np.array([one.standard_deviation for one in rows])
    axes.plot(sizes, scatter, "o", color=BLUE, markersize=4.5)
    reach = 1.15 * float(sizes.max(initial=0.0)) or 1.0
    axes.plot([0.0, reach], [0.0, reach], color=GREY, linewidth=0.9, linestyle="--")
    for one in rows:
        where = (one.mean_size, one.standard_deviation)
        axes.annotate(one.path, where, (4, 3), textcoords="offset points", fontsize=7, color=INK)
    axes.set_xlim(0.0, 1.35 * reach)
    axes.set_xlabel("mean size of the effects", fontsize=9, color=INK)
    axes.set_ylabel("standard deviation", fontsize=9, color=INK)
