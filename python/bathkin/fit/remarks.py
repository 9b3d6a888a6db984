"""What to think of when using a forecast, and how its dates are written."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bathkin.core import layout
from bathkin.errors import DataError
from bathkin.fit import results
from bathkin.tables.logs import Log

if TYPE_CHECKING:
    from bathkin.fit.data import Sheets

# Hours after which a minute of the dump is no news.
_TO_THE_MINUTE_H = 48.0


class Remark(results.Remark):
    """A remark on a result."""

    __slots__ = ()

    def __str__(self) -> str:
        return self.text


def messages(remarks: Iterable[results.Remark]) -> list[dict[str, str]]:
    """Remarks as JSON documents have them."""
    return [{"code": one.code, "text": one.text} for one in remarks]


def date_of(made_up: datetime | None, hours: float | None) -> str | None:
    """The day, or the moment, so many hours after the make-up.

    Raises:
        DataError: For one after the last date there is.
    """
    if made_up is None or hours is None:
        return None
    try:
        moment = made_up + timedelta(hours=hours)
    except OverflowError as error:
        raise DataError(f"made_up = {made_up}: the dump is after the last date there is") from error
    return day(moment, hours)


def day(moment: datetime, hours: float) -> str:
    """A moment so many hours after the make-up, as precisely as it can be known.

    Example:
        >>> from datetime import datetime
        >>> from bathkin.fit.remarks import day
        >>> day(datetime(2026, 3, 5, 7, 31), 24.0), day(datetime(2026, 3, 20, 9, 2), 385.5)
        ('2026-03-05 07:31', '2026-03-20')
    """
    if hours <= _TO_THE_MINUTE_H:
        return moment.isoformat(" ", "minutes")
    return moment.date().isoformat()


def doubts(ahead: results.Forecast) -> list[tuple[str, str]]:
    """Lives that failed, or reached no limit."""
    found = []
    if ahead.failed:
        text = (
            f"{ahead.failed} of {ahead.draws} lives failed, and the spread is too narrow:"
            f" {ahead.first_failure}"
        )
        found.append(("lives-failed", text))
    if ahead.beyond:
        text = (
            f"{ahead.beyond} of {ahead.draws} lives reach no limit in {ahead.longest_clock_h:.0f} h"
        )
        found.append(("no-limit", text))
    return found


def late(sheets: Sheets, made_up: datetime | None) -> list[tuple[str, str]]:
    """Whether the bath was made up only after its log begins."""
    first = only_start(sheets)
    if made_up is None or first is None:
        return []
    # A time without a zone is taken to be of the zone of the other.
    plain = [moment.replace(tzinfo=None) for moment in (made_up, first)]
    if plain[0] <= plain[1]:
        return []
    text = f"made up {plain[0]:%Y-%m-%d %H:%M}, after the log begins, {plain[1]:%Y-%m-%d %H:%M}"
    return [("made-up-late", text)]


def past(sheets: Sheets, made_up: datetime | None, hours: results.Spread) -> list[tuple[str, str]]:
    """Dates of the dump that the log has lived through already."""
    last = _last_row(sheets)
    if made_up is None or last is None:
        return []
    ends = [(name.upper(), end) for name, end in hours if end is not None]
    begun = made_up.replace(tzinfo=None)
    past = [
        f"{name} ({date_of(begun, end)})"
        for name, end in ends
        if begun + timedelta(hours=end) < last.replace(tzinfo=None)
    ]
    if not past:
        return []
    text = (
        f"{', '.join(past)} of the dump is past: the log goes on to {last:%Y-%m-%d %H:%M}, so that"
        f" this bath has outlived it; limits, make-up or made_up are not those of the log"
    )
    return [("past", text)]


def _last_row(sheets: Sheets) -> datetime | None:
    """When the last row of the only log was written."""
    logs = [sheet for sheet in sheets if isinstance(sheet, Log)]
    if len(logs) != 1 or logs[0].start is None:
        return None
    hours = [hour for hour in logs[0].columns["time_h"] if hour is not None]
    return logs[0].start + timedelta(hours=max(hours) - min(hours))


def despite(misfit: list[results.Remark]) -> list[tuple[str, str]]:
    """Whether the model misses the data and a forecast was asked for all the same."""
    if not misfit:
        return []
    text = (
        "the model misses the data, and the forecast was asked for all the same: do not plan by it"
    )
    return [("despite-misfit", text)]


def narrow(hours: results.Spread, held: list[results.HeldNumber]) -> list[tuple[str, str]]:
    """Whether one number that was held moves the dump by more than the spread."""
    if not held or hours.p10 is None or hours.p90 is None:
        return []
    first, apart = held[0], hours.p90 - hours.p10
    if first.moved is not None and abs(first.moved) <= apart:
        return []
    how = "to no dump at all" if first.moved is None else f"by {first.moved:+.3g} h"
    text = (
        f"P10 to P90 are {layout.number(apart, 2)} h apart, and 10 % more of {first.path}, which"
        f" was held, moves the dump {how}: the spread is that of the fitted numbers alone"
    )
    return [("spread-of-fitted-only", text)]


# Held numbers that a summary lists, and the part of an hour that counts.
_HELD_SHOWN = 8
_HELD_LEAST_H = 0.05


def held_text(held: list[results.HeldNumber]) -> str:
    """Numbers that were held, with what 10 % more of each does."""
    moving = [one for one in held if one.moved is None or abs(one.moved) >= _HELD_LEAST_H]
    shown = moving[:_HELD_SHOWN]
    if not shown:
        return ""
    ranges = [one.range for one in shown]
    table = layout.render(
        [
            layout.Column("held, in no spread", [one.path for one in shown], left=True),
            layout.Column("value", [layout.number(one.value) for one in shown]),
            layout.Column("kind", [one.kind or "-" for one in shown], left=True),
            layout.Column(
                "range",
                ["-" if ends is None else f"{ends[0]:g} to {ends[1]:g}" for ends in ranges],
                left=True,
            ),
            layout.Column(
                "10 % more, h",
                ["no dump" if one.moved is None else f"{one.moved:+.1f}" for one in shown],
            ),
        ]
    )
    more = len(held) - len(shown)
    rest = f"{more} more move it by less: held_numbers has them" if more else ""
    return "\n".join(filter(None, [table, rest]))


def only_start(sheets: Sheets) -> datetime | None:
    """When the first row of the log was written, where there is one log."""
    logs = [sheet for sheet in sheets if isinstance(sheet, Log)]
    return logs[0].start if len(logs) == 1 else None
