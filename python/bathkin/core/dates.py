"""Dates beside hours: the moment when a clock was zero, and the date of each of its hours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta, timezone
from typing import TYPE_CHECKING, Any, TypeAlias

from bathkin import _core
from bathkin.core.numbers import shown
from bathkin.errors import BathkinError, RecipeError

if TYPE_CHECKING:
    import pandas as pd

# What a moment may be given as.
Moment: TypeAlias = date | str

EXPECTED = "a day and time such as 2026-03-02 06:00"
# Not those of the system's language: pages are in one.
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)


def moment(name: str, value: object, refused: type[BathkinError] = RecipeError) -> datetime:
    """A moment from a date, or from a text in one of the forms people write; midnight for a day.

    Args:
        name: What it is, for a refusal.
        value: A date or a text.
        refused: What is raised.

    Raises:
        BathkinError: For anything else, as `refused` says.

    Example:
        >>> from bathkin.core.dates import moment
        >>> moment("start", "02.03.2026 06:00") == moment("start", "2026-03-02T06:00")
        True
    """
    if isinstance(value, str):
        read = _core.moments(name, name, [value])[0][0]
        if read is not None:
            return of_parts(read)
    # pandas has a date that is none, unequal to itself.
    elif isinstance(value, date) and value == value:
        plain = getattr(value, "to_pydatetime", lambda: value)()
        return plain if isinstance(plain, datetime) else datetime.combine(plain, time())
    raise refused(f"{name} = {shown(value)}: expected {EXPECTED}")


def of_parts(parts: tuple[int, int, int, int, int, int, int, int | None]) -> datetime:
    """A moment from what the core has of it: year to microsecond, seconds ahead of UTC."""
    ahead_s = parts[7]
    zone = None if ahead_s is None else timezone(timedelta(seconds=ahead_s))
    return datetime(*parts[:7], zone)


def by_the_clock(moment: datetime) -> tuple[float, str]:
    """Seconds from 1970-01-01 00:00 by the clock on the wall, and the offset behind a time of day.

    Example:
        >>> from bathkin.core.dates import by_the_clock, moment
        >>> by_the_clock(moment("start", "1970-01-02 06:00+01:00"))
        (108000.0, '+01:00')
    """
    plain = moment.replace(tzinfo=None)
    zone = moment.isoformat().removeprefix(plain.isoformat())
    return (plain - datetime(1970, 1, 1)).total_seconds(), zone


def at(start: datetime, hours: float) -> datetime:
    """The moment so many hours after the start, to the minute.

    Raises:
        RecipeError: Beyond the year 9999.

    Example:
        >>> from datetime import datetime
        >>> from bathkin.core.dates import at
        >>> at(datetime(2026, 3, 2, 6), 26.5)
        datetime.datetime(2026, 3, 3, 8, 30)
    """
    try:
        found = start + timedelta(minutes=round(60.0 * hours))
    except OverflowError as error:
        later = f"{hours:.0f} h later is beyond the year 9999"
        raise RecipeError(f"start = {text(start)}: {later}: expected an earlier start") from error
    return found


def text(moment: datetime) -> str:
    """A moment to the minute: `2026-03-02 06:00`, with its offset from UTC where that is known."""
    return moment.isoformat(" ", "minutes")


def spoken(start: datetime, hours: float | None) -> str:
    """The moment so many hours after the start, with its day of the week; `-` without hours.

    Example:
        >>> from datetime import datetime
        >>> from bathkin.core.dates import spoken
        >>> spoken(datetime(2026, 3, 2, 6), 26.5)
        'Tue 2026-03-03 08:30'
    """
    if hours is None or hours != hours:
        return "-"
    found = at(start, hours)
    return f"{_DAYS[found.weekday()]} {text(found)}"


def day(moment: datetime) -> str:
    """A day for an axis: `3 Mar`."""
    return f"{moment.day} {_MONTHS[moment.month - 1]}"


def texts(start: datetime, hours: Sequence[float]) -> list[str]:
    """The moments so many hours after the start."""
    return [text(at(start, each)) for each in hours]


def named(values: Mapping[str, Any], start: datetime | None, **dates: str) -> dict[str, Any]:
    """A record with the date behind each of its hours; as it is without a start.

    Args:
        values: The record: hours, or a list of them, or None, by name.
        start: When its clock was zero.
        dates: For each name of a date that of its hours.

    Example:
        >>> from datetime import datetime
        >>> from bathkin.core.dates import named
        >>> named({"clock_h": 2.0, "turnovers": 0.1}, datetime(2026, 3, 2, 6), date="clock_h")
        {'clock_h': 2.0, 'date': '2026-03-02 08:00', 'turnovers': 0.1}
    """
    if start is None:
        return dict(values)
    found: dict[str, Any] = {}
    for name, value in values.items():
        found[name] = value
        for heading, hours in dates.items():
            if hours == name:
                found[heading] = _of(start, value)
    return found


def _of(start: datetime, hours: Any) -> Any:
    if hours is None:
        return None
    return text(at(start, hours)) if isinstance(hours, float) else texts(start, hours)


def with_dates(table: pd.DataFrame, start: datetime | None, **dates: str) -> pd.DataFrame:
    """A table with a column of dates behind each of its hours; as it is without a start.

    Args:
        table: The table, which is changed.
        start: When its clock was zero.
        dates: For each heading of dates that of its hours.
    """
    import pandas as pd

    if start is None:
        return table
    for heading, hours in dates.items():
        moments = [pd.NaT if each != each else at(start, each) for each in table[hours]]
        column = pd.Series(pd.DatetimeIndex(moments, tz=start.tzinfo), index=table.index)
        table.insert(list(table.columns).index(hours) + 1, heading, column)
    return table
