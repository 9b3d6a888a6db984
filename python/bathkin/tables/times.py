"""When the rows of a log were written: hours, or timestamps in the forms people use."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from statistics import median
from typing import NamedTuple

from bathkin import _core
from bathkin.core import layout
from bathkin.core.dates import of_parts
from bathkin.errors import DataError
from bathkin.tables.cells import is_empty, refuse
from bathkin.tables.headings import Heading
from bathkin.tables.problems import Problems
from bathkin.tables.sheets import Assumption

# A gap this many times as long as the median interval is told.
GAP = 10.0


class When(NamedTuple):
    """The column that says when.

    Attributes:
        text: Its heading, or two of them.
        cells: What stands there.
        stamped: Whether these are timestamps; numbers otherwise.
    """

    text: str
    cells: list[str]
    stamped: bool


def when(
    place: str, heads: Sequence[Heading], cells: Sequence[Sequence[str]], report: list[Assumption]
) -> When:
    """The one column that says when; a column of days and one of times of the day are one.

    Raises:
        DataError: Where none does, or several.
    """
    saying = [at for at, head in enumerate(heads) if head.kind in {"time", "stamp", "clock"}]
    columns = [[row[at] for row in cells] for at in saying]
    texts = [heads[at].text for at in saying]
    kinds = [heads[at].kind for at in saying]
    if sorted(kinds) == ["clock", "stamp"]:
        days, clocks = columns if kinds[0] == "stamp" else columns[::-1]
        text = " and ".join(texts)
        for row, clock in enumerate(clocks, start=1):
            if is_empty(clock):
                refuse(place, row, texts[kinds.index("clock")], clock, "a time of day")
        # A day of a pandas table comes with midnight.
        both = zip(days, clocks, strict=True)
        joined = [f"{day.removesuffix(' 00:00:00')} {clock}" for day, clock in both]
        report.append(Assumption(None, text, joined[0], "one timestamp", "the time of the row"))
        return When(text, joined, True)
    if len(saying) != 1:
        which = f"{' and '.join(texts)} say when" if saying else "no column says when"
        raise DataError(f"{place}: {which}: expected one, time_h or timestamp")
    kind, text, written = kinds[0], texts[0], columns[0]
    if kind == "clock" and not any(_core.is_date(cell) for cell in written):
        expected = "expected time_h, time_min, time_s or time_d, or a timestamp with its date"
        raise DataError(f"{place}: column {text}: it has no unit: {expected}", column=text)
    return When(text, written, kind != "time")


def stamps(
    column: str, cells: Sequence[str], report: list[Assumption], problems: Problems
) -> list[datetime | None]:
    """The times of a column of timestamps, all written in one form.

    What is no timestamp, and days and months that cannot be told apart, are problems.

    Example:
        >>> from bathkin.tables.problems import Problems
        >>> from bathkin.tables.times import stamps
        >>> report = []
        >>> stamps("when", ["04.03.2026 07:30"], report, Problems("log.csv"))
        [datetime.datetime(2026, 3, 4, 7, 30)]
        >>> report[0].taken
        'day.month.year: 2026-03-04 07:30'
    """
    moments, told, wrong = _core.moments(problems.place, column, list(cells))
    report.extend(Assumption(*one) for one in told)
    for row, raw, message in wrong:
        with problems.gathered():
            raise DataError(message, row=row, column=column, raw=raw)
    return [None if moment is None else of_parts(moment) for moment in moments]


def in_order(
    column: str,
    cells: Sequence[str],
    hours: Sequence[float | None],
    report: list[Assumption],
    problems: Problems,
) -> None:
    """Refuses rows out of order or at the same time, naming both rows, and tells of long gaps."""
    known = [(row, hour) for row, hour in enumerate(hours, start=1) if hour is not None]
    for (above, before), (row, now) in pairwise(known):
        if now > before:
            continue
        earlier = f"row {above}, {cells[above - 1]}"
        hint = "put the rows in order of time; coupon runs, in any order, are no log"
        if now == before:
            hint = "make them one row, or write when each was"
        what = "the time of" if now == before else "before"
        expected = f"a time after {earlier}: it is {what} that row; {hint}"
        with problems.gathered():
            refuse(problems.place, row, column, cells[row - 1], expected)
    steps = [after - before for (_, before), (_, after) in pairwise(known)]
    usual = median(steps) if steps else 0.0
    for (row, _), step in zip(known[1:], steps, strict=True):
        if step > GAP * usual:
            taken = f"one interval of {layout.number(step)} h, {layout.number(usual)} h being usual"
            effect = "the bath is carried across it as if nothing happened"
            report.append(Assumption(row, column, cells[row - 1], taken, effect))
