"""The result of an optimum."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.frames import frame
from bathkin.core.layout import Column, number
from bathkin.optimise import results

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.recipe.recipe import Recipe

_MOST_DIGITS = 5


class Optimisation(Tabled, results.Optimisation):
    """Best numbers of a recipe for a goal under limits. Made by `bathkin.optimise`."""

    __slots__ = ("_of",)
    _of: Recipe

    @property
    def recipe(self) -> Recipe:
        """The recipe that was begun with."""
        return self._of

    @property
    def values(self) -> dict[str, float]:
        """The best value of each path."""
        return {one.path: one.value for one in self.numbers}

    def best_recipe(self) -> Recipe:
        """The recipe with the best numbers.

        Raises:
            RecipeError: Where no point within all limits was found.
        """
        from bathkin.errors import RecipeError

        if not self.feasible:
            told = "no point within all limits was found: widen the bounds or a limit"
            raise RecipeError(f"optimise: {told}")
        return self._of.set(self.values)

    def table(self) -> pd.DataFrame:
        """A row for each point that has answers, in the order of the search.

        A column for each path and output, and `feasible`, whether all limits are kept.
        """
        return tried(self.attempts, self._of)

    def to_dict(self) -> dict[str, Any]:
        """Everything but the points in plain values, as `bathkin optimise --json` prints it."""
        values: dict[str, Any] = super().to_dict()
        del values["attempts"]["columns"]
        return values

    def summary(self) -> str:
        """The best point, its limits, and how finely it is known, as a text."""
        return "\n\n".join(filter(None, [self._heading(), self._numbers(), self._limits()]))

    def _heading(self) -> str:
        goal, attempts = self.goal, self.attempts
        side = "most" if goal.most else "least"
        title = f"{side} {goal.output} of {self._of.name}: {told(goal)}"
        if goal.at_recipe is not None:
            title += f"; the recipe as it is: {number(goal.at_recipe, 5)}"
        title += f"; {attempts.points} points, {attempts.failed} failed, seed {self.seed}"
        if self.first_limit is not None:
            title += f"; ends by {self._of.words(self.first_limit)[0]}"
        if not self.feasible:
            title = f"no point within all limits was found; least beyond them: {title}"
        return layout.wrapped(title + ("" if self.complete else "; ended before it was done"), 0, 2)

    def _numbers(self) -> str:
        rows = self.numbers
        good = [f"{number(one.as_good_low)} to {number(one.as_good_high)}" for one in rows]
        return layout.render(
            [
                Column("number", [one.path for one in rows], left=True),
                Column("best", [number(one.value) for one in rows]),
                Column("as good", good, left=True),
                Column("recipe", [number(one.at_recipe) for one in rows]),
                Column("low", [number(one.low) for one in rows]),
                Column("high", [number(one.high) for one in rows]),
                Column("on bound", [one.touches or "" for one in rows], left=True),
            ]
        )

    def _limits(self) -> str:
        rows = self.limits
        if not rows:
            return ""
        sides = ["at least" if one.at_least else "at most" for one in rows]
        stands = ["" if one.met and not one.binds else _stands(one) for one in rows]
        return layout.render(
            [
                Column("limit", [one.output for one in rows], left=True),
                Column("", sides, left=True),
                Column("bound", [number(one.bound) for one in rows]),
                Column("value", [number(one.value) for one in rows]),
                Column("margin", [_margin(one.margin) for one in rows]),
                Column("scatter", [number(one.scatter, 2) for one in rows]),
                Column("unit", [one.unit for one in rows], left=True),
                Column("", stands, left=True),
            ]
        )

    def _drawn(self) -> Figure:
        from bathkin.plots.optimise import plot_optimisation

        return plot_optimisation(self)

    def _sources(self) -> list[Path]:
        return self._of.files()

    def __repr__(self) -> str:
        return self.summary()


def tried(attempts: results.Attempts, recipe: Recipe) -> pd.DataFrame:
    """The points that have answers, a row each."""
    table: pd.DataFrame = frame(attempts.columns, recipe)
    table["feasible"] = table["feasible"] > 0.0
    return table


def told(goal: results.OptimumGoal) -> str:
    """The value of a goal with its unit, no finer than it scatters."""
    digits, scatter = _MOST_DIGITS, goal.scatter or 0.0
    if scatter > 0.0 and goal.value != 0.0:
        first, last = (math.floor(math.log10(abs(one))) for one in (goal.value, scatter))
        digits = min(max(first - last + 1, 2), _MOST_DIGITS)
    text = f"{number(goal.value, digits)} {goal.unit}".strip()
    if goal.scatter is None:
        return text
    return f"{text}, scattering by {number(goal.scatter, 2)} for changes that are tiny"


def _margin(margin: float) -> str:
    """A margin, to a hundred-thousandth."""
    return "0" if math.fabs(margin) < 1e-9 else number(margin, 3)


def _stands(limit: results.OptimumLimit) -> str:
    return "binds" if limit.met else "BROKEN"
