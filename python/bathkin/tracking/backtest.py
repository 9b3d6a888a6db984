"""Forecasts of a log whose tail is hidden, scored."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from bathkin import _core
from bathkin.core import dates, layout
from bathkin.core.arguments import MOST_REPEATS, finite, whole
from bathkin.core.layout import Column, number
from bathkin.core.numbers import shown
from bathkin.core.progress import Progress, reporting
from bathkin.core.result import made_from
from bathkin.errors import DataError
from bathkin.fit.data import given
from bathkin.recipe.recipe import Recipe, as_recipe
from bathkin.tables.logs import Log
from bathkin.tracking import results
from bathkin.tracking.record import WORK, TrackOptions
from bathkin.tracking.track import Readable, as_log

if TYPE_CHECKING:
    import pandas as pd

_DAY_H = 24.0


class Backtest(results.Backtest):
    """Forecasts of a log whose tail was hidden. Made by `backtest`."""

    __slots__ = ("_of",)
    _of: tuple[Recipe, Log]

    def table(self) -> pd.DataFrame:
        """A row for each forecast."""
        import pandas as pd

        table: pd.DataFrame = pd.DataFrame([cut.to_dict() for cut in self.cuts])
        return table

    def summary(self) -> str:
        """What was forecast from which row, and how good that was, in days."""
        days = [
            (f"{cut.rows}", cut.at_h, cut.p10_h, cut.p50_h, cut.p90_h, cut.crps_h, cut.lines_h)
            for cut in self.cuts
        ]

        def column(place: int) -> list[str]:
            cells = [line[place] for line in days]
            return [
                cell
                if isinstance(cell, str)
                else number(None if cell is None else cell / _DAY_H, 3)
                for cell in cells
            ]

        heads = ["rows\nseen", "at\nd", "P10\nd", "P50\nd", "P90\nd", "CRPS\nd", "lines\nd"]
        columns = [Column(head, column(place)) for place, head in enumerate(heads)]
        columns.append(Column("held", ["yes" if cut.inside else "no" for cut in self.cuts]))
        came = "was dumped" if self.came_by == "dumped" else "goes, by the whole log,"
        told = (
            f"it {came} {number(self.came_h / _DAY_H, 3)} d after the first row;"
            f" {100 * self.coverage:.0f} % of the bands held it (80 % is right),"
            f" CRPS {number(self.crps_h / _DAY_H, 3)} d"
        )
        if self.lines_h is not None:
            told += f", straight lines are off by {number(self.lines_h / _DAY_H, 3)} d"
        if self.last_bath_h is not None:
            told += f", the life of the last bath by {number(self.last_bath_h / _DAY_H, 3)} d"
        if self.came_by != "dumped":
            told += "; say when it was dumped for a test against what came"
        return f"{layout.render(columns)}\n\n{layout.wrapped(told, 0, 2)}"

    def __repr__(self) -> str:
        return self.summary()


def backtest(
    recipe: Recipe | str,
    log: Readable | Sequence[Readable],
    *,
    rows: Iterable[int] = (),
    dumped: float | date | str | None = None,
    last_bath_h: float | None = None,
    members: int = 200,
    seed: int = 1,
    progress: Progress = None,
) -> Backtest:
    """Hides the tail of a log, forecasts the dump from several rows, and scores the forecasts.

    Args:
        recipe: The recipe, or the name or path of one.
        log: A log from `read_log`, or a path or table; or several files of this one bath.
        rows: Rows after which to forecast, counted from 1; without: a quarter, a half and three
            quarters of the log.
        dumped: When it was dumped: hours from the first row, or a date where the log has dates.
            Without, the date that the whole log gives stands for it, which says less.
        last_bath_h: How long the last bath lasted, h: the forecast without any log.
        members: Baths that go on to their first limit, for each forecast.
        seed: The same seed gives the same answer.
        progress: True for a bar, or a function that is called with the members done.

    Raises:
        DataError: As `bathkin.track`; for rows that are none of the log, and a date that is none.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> log = pd.DataFrame({  # invented
        ...     "time_h": [0, 2, 4, 6],
        ...     "nickel (g/L)": [6.0, 4.75, 4.85, 4.8],
        ...     "area in tank (dm2)": [0, 200, 200, 200],
        ...     "metal added (L)": [0, 5, 4.6, 4.8],
        ... })
        >>> found = bk.backtest("nickel-acid", log, rows=[2, 3], dumped=400, members=10)
        >>> [cut.rows for cut in found.cuts], found.came_by
        ([2, 3], 'dumped')
    """
    of = as_recipe(recipe)
    sheet = as_log(log, of)
    count = whole("members", members, least=1, most=MOST_REPEATS)
    start = None if sheet.start is None else dates.by_the_clock(sheet.start)
    options = TrackOptions(count, whole("seed", seed), None, start, [], False, WORK[0], [], [])
    asked = [whole("rows", row, least=1) for row in rows]
    last = None if last_bath_h is None else finite("last_bath_h", last_bath_h)
    with reporting(progress, "members") as report:
        found = _core.backtest(
            of._core, given([sheet])[0], options, asked, _hours(dumped, sheet), last, report
        )
    return made_from(found, (of, sheet))


def _days(hours: float | None) -> str:
    return number(None if hours is None else hours / _DAY_H, 3)


def _hours(dumped: float | date | str | None, log: Log) -> float | None:
    """Hours from the first row."""
    if dumped is None or isinstance(dumped, (int, float)):
        return None if dumped is None else finite("dumped", dumped)
    expected = "expected hours from the first row, or a date such as 2026-03-20"
    moment = dates.moment("dumped", dumped, DataError)
    if log.start is None:
        raise DataError(f"dumped = {shown(dumped)}: the log has no dates: {expected}")
    hours = (moment.replace(tzinfo=log.start.tzinfo) - log.start).total_seconds() / 3600.0
    if hours <= 0.0:
        raise DataError(f"dumped = {shown(dumped)}: that is before the first row: {expected}")
    return hours
