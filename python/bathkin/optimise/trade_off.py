"""The result of a trade-off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.flags import Flag
from bathkin.core.frames import frame
from bathkin.core.layout import Column, aligned
from bathkin.optimise import results
from bathkin.optimise.optimisation import told, tried

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.optimise.optimisation import Optimisation
    from bathkin.recipe.recipe import Recipe


class TradeOff(Tabled, results.TradeOff):
    """What one goal costs of another. Made by `bathkin.trade_off`."""

    __slots__ = ("_of",)
    _of: Recipe
    ends: list[Optimisation]  # type: ignore[assignment]

    @property
    def recipe(self) -> Recipe:
        """The recipe that was begun with."""
        return self._of

    @property
    def goals(self) -> list[str]:
        """Names of the two goals."""
        return [end.goal.output for end in self.ends]

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        found: list[Flag] = []
        for end in self.ends:
            found += [flag for flag in end.flags if flag not in found]
        return found

    def table(self) -> pd.DataFrame:
        """A row for each point of the curve, from the best of the first goal to that of the second.

        A column for each path and output, and `first_limit`, what ends the life.
        """
        import numpy as np

        names = list(self.points[0].outputs) if self.points else self.goals
        columns = {
            **{
                one.path: np.array([point.values[one.path] for point in self.points])
                for one in self.ends[0].numbers
            },
            **{name: np.array([point.outputs[name] for point in self.points]) for name in names},
        }
        table: pd.DataFrame = frame(columns, self._of)
        table["first_limit"] = [point.first_limit for point in self.points]
        return table

    def tried(self) -> pd.DataFrame:
        """A row for each point that has answers, and `feasible`, whether all limits are kept."""
        return tried(self.attempts, self._of)

    def to_dict(self) -> dict[str, Any]:
        """Everything but the points that were tried, as `bathkin trade-off --json` prints it."""
        values: dict[str, Any] = super().to_dict()
        for one in [values, *values["ends"]]:
            one["attempts"].pop("columns", None)
        return values

    def summary(self) -> str:
        """The curve as a text."""
        ends = [
            f"{'most' if goal.most else 'least'} {goal.output} {told(goal)}"
            for goal in (end.goal for end in self.ends)
        ]
        title = f"trade-off of {self._of.name}: {'; '.join(ends)}"
        title += f"; {self.attempts.points} points, {self.attempts.failed} failed"
        title += f", seed {self.ends[0].seed}"
        title += "" if self.complete else "; ended before it was done"
        if not self.feasible:
            return f"{layout.wrapped('no point within all limits was found')}\n\n{self.ends[0]}"
        table = self.table()
        columns = [
            Column(_headed(name), aligned(table[name].tolist(), 5))
            for name in table.columns
            if name != "first_limit"
        ]
        limits = [
            "" if point.first_limit is None else self._of.words(point.first_limit)[0]
            for point in self.points
        ]
        if any(limits):
            columns.append(Column("ends by", limits, left=True))
        return f"{layout.wrapped(title, 0, 2)}\n\n{layout.render(columns)}"

    def _drawn(self) -> Figure:
        from bathkin.plots.optimise import plot_trade_off

        return plot_trade_off(self)

    def _sources(self) -> list[Path]:
        return self._of.files()

    def __repr__(self) -> str:
        return self.summary()


def _headed(name: str) -> str:
    """A name as a heading, its table over it."""
    table, _, last = name.rpartition(".")
    return f"{table}\n{last}" if table else last
