"""The picture of an ensemble: how each output is spread, and which limits come first."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from bathkin.plots.picture import (
    BLUE,
    GREY,
    INK,
    RED,
    Picture,
    headline,
    label,
    plain_axes,
    small_print,
)

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.core.results import Flag
    from bathkin.ensemble.results import OutputStatistics
    from bathkin.recipe.document import RecipeDocument

_COLUMNS = 3
_BINS = 40
_MOST_LIMITS = 8


class Spread(Protocol):
    """What is drawn of an ensemble; see `bathkin.Ensemble`."""

    @property
    def statistics(self) -> Sequence[OutputStatistics]:
        """How each output is spread."""

    @property
    def first_limits(self) -> Mapping[str, int]:
        """Lives that each limit ended."""

    @property
    def members(self) -> range:
        """The members that are done."""

    @property
    def flags(self) -> Sequence[Flag]:
        """Warnings."""

    @property
    def recipe(self) -> RecipeDocument:
        """The recipe that members differ from."""

    def quantiles(self) -> pd.DataFrame:
        """P10, P50 and P90 of each output."""

    def histogram(self, output: str, bins: int = ...) -> Any:
        """Counts of the members between edges."""


def plot_ensemble(found: Spread) -> Figure:
    """See `Ensemble.plot`."""
    outputs = [one for one in found.statistics if one.count]
    panels = len(outputs) + bool(found.first_limits)
    across = 2 if panels == 4 else min(max(panels, 1), _COLUMNS)
    down = max(math.ceil(panels / across), 1)
    figure = Picture(figsize=(3.6 * across + 1.0, 2.7 * down + 0.9), layout="constrained")
    quantiles = found.quantiles()
    for place, one in enumerate(outputs):
        axes = figure.add_subplot(down, across, place + 1)
        plain_axes(axes)
        edges, counts = found.histogram(one.output, min(_BINS, max(8, math.isqrt(one.count))))
        axes.stairs(
            100.0 * np.asarray(counts) / one.count, edges, fill=True, color=BLUE, alpha=0.55
        )
        for part, style in (("p10", ":"), ("p50", "-"), ("p90", ":")):
            axes.axvline(quantiles[part][one.output], color=INK, linewidth=1.1, linestyle=style)
        if one.at_recipe is not None:
            axes.axvline(one.at_recipe, color=RED, linewidth=1.1, linestyle="--")
        moment, _, quantity = one.output.partition(".")
        axes.set_xlabel(f"{label(quantity)} ({moment.replace('_', ' ')})", fontsize=9, color=INK)
        axes.set_ylabel("members, %", fontsize=9, color=INK)
    if found.first_limits:
        _limits(figure.add_subplot(down, across, panels), found)
    headline(figure, f"{found.recipe.name}: {len(found.members)} members")
    lines = "lines: P10, P50 and P90; dashed: by the recipe's own numbers"
    small_print(figure, [lines, *map(str, found.flags)])
    return figure


def _limits(axes: Any, found: Spread) -> None:
    """Which limits come first."""
    plain_axes(axes)
    counts = list(found.first_limits.items())[:_MOST_LIMITS][::-1]
    lives = sum(found.first_limits.values())
    names = [found.recipe.words(name)[0] for name, _ in counts]
    axes.barh(names, [100.0 * count / lives for _, count in counts], color=GREY, height=0.6)
    axes.set_ylim(-0.7, max(len(counts), 3) - 0.3)
    axes.set_xlabel("lives ended first, %", fontsize=9, color=INK)
