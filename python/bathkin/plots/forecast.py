"""The picture of a forecast: which part of the lives is over by then, and by which limit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

import numpy as np

from bathkin.plots.picture import BLUE, GREEN, INK, RED, Picture, plain_axes, small_print

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.core.results import Remark
    from bathkin.fit.spread import DumpForecast
    from bathkin.life.results import Dump
    from bathkin.recipe.document import RecipeDocument

_COLOURS = (BLUE, GREEN, RED, "#c77f1a", "#7a4fa0")
# Remarks that belong to the picture; the summary has all.
_SAID = (
    "despite-misfit",
    "from-make-up",
    "lives-failed",
    "no-limit",
    "past",
    "held",
    "spread-of-fitted-only",
)


class Ahead(Protocol):
    """What is drawn of a forecast; see `bathkin.Forecast`."""

    @property
    def made_up(self) -> datetime | None:
        """When it was made up."""

    @property
    def dump(self) -> DumpForecast:
        """When it will be dumped."""

    @property
    def first_limit(self) -> dict[str, float]:
        """Which limit comes first, as probabilities."""

    @property
    def recipe(self) -> RecipeDocument:
        """The bath that is run."""

    @property
    def lives(self) -> Sequence[Dump | None]:
        """The dump of each draw."""

    @property
    def remarks(self) -> Sequence[Remark]:
        """Remarks on it."""


def plot_forecast(ahead: Ahead) -> Figure:
    """See `Forecast.plot`."""
    lives = [life for life in ahead.lives if life is not None]
    ended = sorted((life for life in lives if life.limit != "none"), key=lambda life: life.clock_h)
    names = [name for name in ahead.first_limit if name != "none"]
    figure = Picture(figsize=(8.4, 4.4), layout="constrained")
    axes = figure.add_subplot()
    plain_axes(axes)
    if ended:
        hours = np.array([life.clock_h for life in ended])
        margin = 0.08 * (hours[-1] - hours[0]) or 1.0
        reach = [hours[0] - margin, *hours, hours[-1] + 3.0 * margin]
        parts = [
            100.0 / len(lives) * np.cumsum([0, *(life.limit == name for life in ended), 0])
            for name in names
        ]
        axes.stackplot(
            reach,
            parts,
            step="post",
            colors=[_COLOURS[place % len(_COLOURS)] for place in range(len(names))],
            labels=[f"{ahead.recipe.words(name)[0]} first" for name in names],
            alpha=0.55,
            linewidth=0,
        )
        axes.set_xlim(reach[0], reach[-1])
        axes.legend(frameon=False, fontsize=9, loc="lower right")
    dates = dict(ahead.dump.date)
    for end, at in ahead.dump.hours:
        share = int(end[1:])
        if at is not None:
            axes.plot([at], [share], "o", color=INK, markersize=4)
            axes.annotate(
                f"P{share}  {_when(ahead, at, dates[end])}",
                (at, share),
                xytext=(8, -3),
                textcoords="offset points",
                fontsize=9,
                color=INK,
            )
    axes.set_ylim(0, 105)
    axes.set_yticks(range(0, 101, 10))
    axes.set_xlabel("hours since make-up", fontsize=9)
    axes.set_ylabel("dumped by then, % of the lives", fontsize=9)
    axes.set_title(_title(ahead), loc="left", fontsize=10, color=INK)
    notes = [one.text for one in ahead.remarks if one.code in _SAID]
    small_print(figure, [*notes, "estimate: analyse"], width=120)
    return figure


def _when(ahead: Ahead, hours: float, date: str | None) -> str:
    # As many digits as tell the ends apart.
    ends = [end for _, end in ahead.dump.hours if end is not None]
    apart = max(ends) - min(ends)
    decimals = 0 if apart >= 10.0 or apart == 0.0 else 1 if apart >= 1.0 else 2
    return f"{hours:.{decimals}f} h" + (f", {date}" if date else "")


def _title(ahead: Ahead) -> str:
    count = len(ahead.lives)
    lives = f"{count} simulated bath lives, sampled from the fit"
    return f"{ahead.recipe.name}: when the bath is dumped, {lives}"
