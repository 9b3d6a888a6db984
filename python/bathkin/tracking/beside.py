"""A forecast from make-up beside the bath as its log tells of it today."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bathkin.core import layout
from bathkin.core.layout import number
from bathkin.core.result import Result
from bathkin.errors import BathkinError
from bathkin.recipe.recipe import Recipe
from bathkin.tables.logs import Log
from bathkin.tracking.results import DumpDate
from bathkin.tracking.track import track

if TYPE_CHECKING:
    from bathkin.fit.forecast import Forecast

# Members that tell where the bath stands: enough for a median.
_MEMBERS = 100
_DAY_H = 24.0


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Beside(Result):
    """The dump of the bath as its log tells of it today, beside that of a forecast.

    Attributes:
        dump: That of today; its hours count from the first row.
        later_h: How much later than the forecast its median is, h; below zero where it is earlier,
            none where one of them reaches no limit.
    """

    dump: DumpDate
    later_h: float | None

    def text(self) -> str:
        """The difference in words."""
        date, clock = self.dump.date, self.dump.clock_h
        ends = (clock.p50, clock.p10, clock.p90)
        told = [f"{number(one)} h" if one is not None else "-" for one in ends]
        if date.p50:
            told = [(one or "-").split(" ")[0] for one in (date.p50, date.p10, date.p90)]
        text = "bathkin today, from where the bath stands: "
        text += f"{told[0]} (P10 {told[1]}, P90 {told[2]})"
        if self.later_h is not None:
            side = "later" if self.later_h >= 0.0 else "earlier"
            text += f", {number(abs(self.later_h) / _DAY_H, 2)} days {side} than this forecast"
        return layout.wrapped(f"{text}; plan by that of today", 0, 2)


def beside_today(ahead: Forecast, recipe: Recipe, log: Log) -> Beside | None:
    """The bath of a forecast as its log tells of it today; None where it cannot be followed.

    Args:
        ahead: The forecast.
        recipe: The bath before the fit, as `bathkin today` takes it.
        log: The log.
    """
    try:
        found = track(recipe, log, members=_MEMBERS)
    except BathkinError:
        return None
    # The forecast counts from make-up, the log from its first row.
    since_h = 0.0
    if ahead.made_up is not None and log.start is not None:
        made_up = ahead.made_up.replace(tzinfo=log.start.tzinfo)
        since_h = (made_up - log.start).total_seconds() / 3600.0
    ends = (found.dump.clock_h.p50, ahead.dump.clock_h.p50)
    later = None if None in ends else ends[0] - ends[1] - since_h  # type: ignore[operator]
    return Beside(found.dump, later)
