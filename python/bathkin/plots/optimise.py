"""Pictures of an optimum and of a trade-off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Protocol

from bathkin.plots.picture import (
    BLUE,
    GREEN,
    GREY,
    INK,
    RED,
    STYLE,
    Picture,
    headline,
    label,
    named,
    plain_axes,
    small_print,
)

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.core.results import Flag
    from bathkin.optimise.results import OptimumGoal, OptimumNumber
    from bathkin.recipe.document import RecipeDocument

_COLUMNS = 3
_MOST_NUMBERS = 6


class Found(Protocol):
    """What both results have."""

    @property
    def recipe(self) -> RecipeDocument:
        """The recipe that was begun with."""

    @property
    def flags(self) -> Sequence[Flag]:
        """Warnings."""

    def table(self) -> pd.DataFrame:
        """Points."""


class Best(Found, Protocol):
    """What is drawn of an optimum; see `bathkin.Optimisation`."""

    @property
    def goal(self) -> OptimumGoal:
        """The goal."""

    @property
    def numbers(self) -> list[OptimumNumber]:
        """The numbers that were varied."""

    @property
    def feasible(self) -> bool:
        """Whether it is within all limits."""


class Curve(Found, Protocol):
    """What is drawn of a trade-off; see `bathkin.TradeOff`."""

    @property
    def ends(self) -> Sequence[Any]:
        """The best for each goal alone."""

    def tried(self) -> pd.DataFrame:
        """All points that have answers."""


def plot_optimisation(found: Best) -> Figure:
    """See `Optimisation.plot`: the goal against each number, for every point that was tried."""
    numbers, goal = found.numbers[:_MOST_NUMBERS], found.goal
    across = min(len(numbers), _COLUMNS)
    down = math.ceil(len(numbers) / across)
    figure = Picture(figsize=(3.3 * across + 1.0, 2.9 * down + 0.9), layout="constrained")
    table = found.table()
    outside, inside = table[~table["feasible"]], table[table["feasible"]]
    for place, one in enumerate(numbers):
        axes = figure.add_subplot(down, across, place + 1)
        plain_axes(axes)
        for rows, colour, face in ((outside, GREY, "none"), (inside, BLUE, BLUE)):
            axes.plot(
                rows[one.path],
                rows[goal.output],
                "o",
                color=colour,
                markerfacecolor=face,
                markersize=3.5,
                alpha=0.6,
                linestyle="none",
            )
        axes.plot([one.value], [goal.value], "D", color=RED, markersize=7, markeredgecolor="white")
        if one.at_recipe is not None and goal.at_recipe is not None:
            axes.plot([one.at_recipe], [goal.at_recipe], "s", color=INK, markersize=5)
        axes.axvspan(one.as_good_low, one.as_good_high, color=RED, alpha=0.12, linewidth=0)
        room = 0.04 * (one.high - one.low)
        axes.set_xlim(one.low - room, one.high + room)
        axes.set_xlabel(label(one.path), fontsize=9, color=INK)
        if place % across == 0:
            axes.set_ylabel(_said(goal), fontsize=9, color=INK)
    side = "most" if goal.most else "least"
    headline(figure, f"{found.recipe.name}: {side} {_words(goal.output)}")
    best = "red: the best" if found.feasible else "red: least beyond the limits"
    notes = [f"{best}, shaded: as good to twice the scatter; square: the recipe as it is"]
    notes.append("filled: within all limits")
    small_print(figure, [*notes, *map(str, found.flags)])
    return figure


def plot_trade_off(found: Curve) -> Figure:
    """See `TradeOff.plot`: one goal against the other, and the numbers along the curve."""
    first, second = (end.goal for end in found.ends)
    numbers = found.ends[0].numbers[:_MOST_NUMBERS]
    down = len(numbers)
    figure = Picture(figsize=(9.4, max(4.2, 1.5 * down + 1.4)), layout="constrained")
    grid = figure.add_gridspec(down, 2, width_ratios=(1.35, 1.0))
    axes = figure.add_subplot(grid[:, 0])
    plain_axes(axes)
    table, tried = found.table(), found.tried()
    met = tried[tried["feasible"]]
    axes.plot(met[second.output], met[first.output], ".", color=GREY, markersize=3, alpha=0.45)
    axes.errorbar(
        table[second.output],
        table[first.output],
        xerr=second.scatter,
        yerr=first.scatter,
        color=BLUE,
        ecolor=BLUE,
        elinewidth=0.8,
        **STYLE,
    )
    if first.at_recipe is not None and second.at_recipe is not None:
        axes.plot([second.at_recipe], [first.at_recipe], "s", color=INK, markersize=6)
    _to_the_curve(axes, table, (first, second))
    axes.set_xlabel(_said(second), fontsize=9, color=INK)
    axes.set_ylabel(_said(first), fontsize=9, color=INK)
    for place, one in enumerate(numbers):
        beside = figure.add_subplot(grid[place, 1])
        plain_axes(beside)
        beside.plot(table[second.output], table[one.path], color=GREEN, **STYLE)
        for bound in (one.low, one.high):
            beside.axhline(bound, color=GREY, linewidth=0.8, linestyle=":")
        beside.set_ylabel(label(one.path).replace(", ", ",\n"), fontsize=8, color=INK)
        beside.tick_params(labelsize=8)
        if place == down - 1:
            beside.set_xlabel(_said(second), fontsize=9, color=INK)
    headline(figure, f"{found.recipe.name}: {_words(first.output)} against {_words(second.output)}")
    notes = ["square: the recipe as it is; bars: scatter by the jumps of doses and stops"]
    notes.append("grey: what was tried within all limits; dotted: bounds")
    small_print(figure, [*notes, *map(str, found.flags)])
    return figure


def _to_the_curve(axes: Any, table: pd.DataFrame, goals: Sequence[OptimumGoal]) -> None:
    """Twice the reach of the curve at most: what is far from it does not press it flat."""
    for goal, of in zip(goals, ("y", "x"), strict=True):
        if table.empty:
            continue
        values = table[goal.output].tolist()
        if goal.at_recipe is not None:
            values.append(goal.at_recipe)
        low, high = min(values), max(values)
        room = 0.15 * ((high - low) or abs(high) or 1.0)
        getattr(axes, f"set_{of}lim")(low - room, high + room)


def _words(output: str) -> str:
    moment, _, quantity = output.rpartition(".")
    return f"{named(quantity)[0]} ({moment.replace('_', ' ')})" if moment else named(quantity)[0]


def _said(goal: OptimumGoal) -> str:
    """A goal as an axis label."""
    unit = named(goal.output)[1] or goal.unit
    return ", ".join(filter(None, [_words(goal.output), unit]))
