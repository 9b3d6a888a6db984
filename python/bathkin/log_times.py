"""When the rows of a log were written: hours, or timestamps in the forms people use."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from statistics import median
from typing import NamedTuple

from bathkin import tables
from bathkin.cells import is_empty, refuse
from bathkin.errors import DataError
from bathkin.headings import Heading
from bathkin.sheets import Assumption

# A gap this many times as long as the median interval is told.
GAP = 10.0
_EXPECTED = "a date and time such as 2026-03-04 07:30"
_ISO = re.compile(r"(?P<year>\d{4})-(?P<one>\d\d)-(?P<two>\d\d)(?P<clock>(?:[T ]\d\d:\d\d.*)?)")
_YEAR_FIRST = re.compile(
    r"(?P<year>\d{4})(?P<mark>[/.])(?P<one>\d\d?)(?P=mark)(?P<two>\d\d?)(?P<clock>.*)"
)
_YEAR_LAST = re.compile(
    r"(?P<one>\d\d?)(?P<mark>[./\-])(?P<two>\d\d?)(?P=mark)(?P<year>\d{4})(?P<clock>.*)"
)
_CLOCK = re.compile(r"(?:(?:T|,\s*)?(\d\d?):(\d\d)(?::(\d\d)(?:\.\d*)?)?\s*([AaPp][Mm])?)?")


class _Date(NamedTuple):
    """A date as written, before it is known which part is the day."""

    form: str
    year: int
    one: int
    two: int
    clock: str


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
        report.append(Assumption.of(None, text, joined[0], "one timestamp", "the time of the row"))
        return When(text, joined, True)
    if len(saying) != 1:
        which = f"{' and '.join(texts)} say when" if saying else "no column says when"
        raise DataError(f"{place}: {which}: expected one, time_h or timestamp")
    kind, text, written = kinds[0], texts[0], columns[0]
    if kind == "clock" and not any(_form(cell) for cell in written):
        expected = "expected time_h, time_min, time_s or time_d, or a timestamp with its date"
        raise DataError(f"{place}: column {text}: it has no unit: {expected}", column=text)
    return When(text, written, kind != "time")


def stamps(
    place: str, column: str, cells: Sequence[str], report: list[Assumption]
) -> list[datetime]:
    """The times of a column of timestamps, all written in one form.

    Raises:
        DataError: For what is no timestamp, and for days and months that cannot be told apart.

    Example:
        >>> from bathkin.log_times import stamps
        >>> report = []
        >>> stamps("log.csv", "when", ["04.03.2026 07:30"], report)
        [datetime.datetime(2026, 3, 4, 7, 30)]
        >>> report[0].taken
        'day.month.year: 2026-03-04 07:30'
    """
    dates = [_date(place, row, column, cell) for row, cell in enumerate(cells, start=1)]
    for row, (date, cell) in enumerate(zip(dates, cells, strict=True), start=1):
        if date.form != dates[0].form:
            refuse(place, row, column, cell, f"the form of the rows above, {cells[0]}")
    day_first, why = _order(place, column, cells, dates)
    found = []
    for row, (date, cell) in enumerate(zip(dates, cells, strict=True), start=1):
        day, month = (date.one, date.two) if day_first else (date.two, date.one)
        try:
            found.append(_moment(date, month, day))
        except ValueError:
            refuse(place, row, column, cell, _EXPECTED)
        if (found[-1].tzinfo is None) != (found[0].tzinfo is None):
            refuse(place, row, column, cell, "a time zone in every row, or in none")
    if why:
        taken = f"{why}: {found[0].isoformat(' ', 'minutes')}"
        report.append(Assumption.of(None, column, cells[0], taken, "the same in every row"))
    bare = [row for row, date in enumerate(dates) if not date.clock]
    if 0 < len(bare) < len(dates):
        row = bare[0]
        refuse(place, row + 1, column, cells[row], "a time of day in every row, or in none")
    if bare:
        report.append(Assumption.of(None, column, cells[0], "midnight", "no time of day"))
    return found


def in_order(
    place: str, column: str, cells: Sequence[str], hours: Sequence[float], report: list[Assumption]
) -> None:
    """Refuses rows out of order or at the same time, and tells of long gaps.

    Raises:
        DataError: Naming both rows and their times.
    """
    for row in range(2, len(hours) + 1):
        before, now = hours[row - 2], hours[row - 1]
        if now > before:
            continue
        earlier = f"row {row - 1}, {cells[row - 2]}"
        hint = "put the rows in order of time; coupon runs, in any order, are no log"
        if now == before:
            hint = "make them one row, or write when each was"
        what = "the time of" if now == before else "before"
        expected = f"a time after {earlier}: it is {what} that row; {hint}"
        refuse(place, row, column, cells[row - 1], expected)
    steps = [after - before for before, after in pairwise(hours)]
    usual = median(steps) if steps else 0.0
    for row, step in enumerate(steps, start=2):
        if step > GAP * usual:
            taken = f"one interval of {tables.number(step)} h, {tables.number(usual)} h being usual"
            effect = "the bath is carried across it as if nothing happened"
            report.append(Assumption.of(row, column, cells[row - 1], taken, effect))


def _date(place: str, row: int, column: str, cell: str) -> _Date:
    if is_empty(cell):
        refuse(place, row, column, cell, f"{_EXPECTED} in every row")
    date = _form(cell)
    if date is not None:
        return date
    serial = re.fullmatch(r"\d+([.,]\d+)?", cell)
    hint = ": is it the number a spreadsheet keeps for a date?" if serial else ""
    refuse(place, row, column, cell, _EXPECTED + hint)


def _form(cell: str) -> _Date | None:
    """A date by its parts; None for what does not look like one."""
    for pattern, form in ((_ISO, "iso"), (_YEAR_FIRST, "year first"), (_YEAR_LAST, "")):
        found = pattern.fullmatch(cell)
        if found is not None:
            year, one, two = (int(found[name]) for name in ("year", "one", "two"))
            return _Date(form or found["mark"], year, one, two, found["clock"].strip())
    return None


def _order(
    place: str, column: str, cells: Sequence[str], dates: Sequence[_Date]
) -> tuple[bool, str]:
    """Whether the day stands before the month, and the words where that was a decision."""
    form = dates[0].form
    if form == "iso":
        return False, ""
    if form == "year first":
        return False, "year, month, day"
    if form == ".":
        return True, "day.month.year"
    day_first = next((row for row, date in enumerate(dates) if date.one > 12), None)
    month_first = next((row for row, date in enumerate(dates) if date.two > 12), None)
    if day_first is not None and month_first is not None:
        row, other = max(day_first, month_first), min(day_first, month_first)
        expected = f"day and month in the order of {cells[other]}"
        refuse(place, row + 1, column, cells[row], expected)
    if day_first is not None:
        return True, f"day{form}month{form}year as row {day_first + 1} tells"
    if month_first is not None:
        return False, f"month{form}day{form}year as row {month_first + 1} tells"
    row = next((row for row, date in enumerate(dates) if date.one != date.two), -1)
    if row >= 0:
        expected = f"{_EXPECTED}: no row tells whether the day or the month comes first"
        refuse(place, row + 1, column, cells[row], expected)
    return True, ""


def _moment(date: _Date, month: int, day: int) -> datetime:
    """Raises a ValueError for what is not in the calendar."""
    if date.form == "iso":
        # Python before 3.11 does not know Z.
        clock = date.clock.replace("Z", "+00:00").removeprefix("T") or "00:00"
        return datetime.fromisoformat(f"{date.year:04}-{month:02}-{day:02}T{clock}")
    of_day = _CLOCK.fullmatch(date.clock)
    if of_day is None:
        raise ValueError(date.clock)
    hour, minute, second = (int(part or 0) for part in of_day.group(1, 2, 3))
    half = (of_day[4] or "").lower()
    if half and not 1 <= hour <= 12:
        raise ValueError(date.clock)
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    return datetime(date.year, month, day, hour, minute, second)
