"""Dates and hours of a dump, as fine as the width of their band deserves."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bathkin.fit.results import Spread
    from bathkin.tracking.record import TrackRecord

_DAY_H = 24.0
# Of a wider band the time of day is no news.
_HOURS_TOLD = 2.0 * _DAY_H
# A tenth of the width is as fine as an end is told.
_STEPS = 10.0


def ends_shown(track: TrackRecord) -> list[str]:
    """P10, P50 and P90: dates where the log has them, or else hours from its first row."""
    date, clock = track.dump.date, track.dump.clock_h
    if date.p10 or date.p50 or date.p90:
        return [_day(one, width(clock)) for one in (date.p10, date.p50, date.p90)]
    return [f"{one} h" if one != "-" else one for one in rounded(clock)]


def width(spread: Spread) -> float | None:
    """From P10 to P90, or from P10 to the median where many outlive the longest time."""
    ends = [one for one in (spread.p10, spread.p50, spread.p90) if one is not None]
    return ends[-1] - ends[0] if len(ends) > 1 else None


def _day(text: str | None, wide_h: float | None) -> str:
    if text is None:
        return "-"
    return text if wide_h is not None and wide_h < _HOURS_TOLD else text.split(" ")[0]


def rounded(spread: Spread) -> list[str]:
    """P10, P50 and P90 in steps of about a tenth of their width; '-' for none.

    Example:
        >>> from bathkin.reports.dates import rounded
        >>> from bathkin.fit.results import Spread
        >>> rounded(Spread(p10=412.3, p50=447.6, p90=481.2)), rounded(Spread(3.217, 3.342, None))
        (['412', '448', '481'], ['3.22', '3.34', '-'])
    """
    wide = width(spread)
    each = (spread.p10, spread.p50, spread.p90)
    known = max((abs(one) for one in each if one is not None), default=0.0)
    if not wide:
        return ["-" if one is None else f"{one:.3g}" for one in each]
    # Three figures at most: 0.01 of 3.3.
    finest = math.floor(math.log10(known)) - 2 if known > 0.0 else 0
    decimals = -max(math.floor(math.log10(wide / _STEPS)), finest)
    return ["-" if one is None else f"{round(one, decimals):.{max(decimals, 0)}f}" for one in each]
