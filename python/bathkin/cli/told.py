"""What `bathkin today` says of a bath, in plain values: made from a followed bath, or kept."""

from __future__ import annotations

from typing import Any, NamedTuple

from bathkin.core.flags import Flag
from bathkin.life.plan import Plan
from bathkin.reports.documents import plain_values
from bathkin.reports.tanks import Line, line_of
from bathkin.reports.track import additions_text, track_text
from bathkin.tracking.track import Track


class Told(NamedTuple):
    """What is said of a bath.

    Attributes:
        values: Everything about it, as the JSON documents have it.
        line: Its line in the overview.
        screen: The bath on one screen.
    """

    values: dict[str, Any]
    line: Line
    screen: str

    @property
    def flags(self) -> list[Flag]:
        """Warnings."""
        return [Flag(one["where"], one["what"]) for one in self.values["flags"]]

    @property
    def alarms(self) -> list[str]:
        """Alarms in words."""
        return [one["text"] for one in self.values["alarms"]]


def told_of(found: Track, plan: Plan) -> Told:
    """What is said of a followed bath and its next shift."""
    values: dict[str, Any] = plain_values({**found.to_dict(), "next_shift": plan.to_dict()})
    return Told(values, line_of(found), f"{track_text(found)}\n\n{additions_text(plan)}")
