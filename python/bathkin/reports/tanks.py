"""Several baths today: one line each, the one that must go first on top."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from bathkin.core import layout
from bathkin.core.layout import Column, number
from bathkin.reports.dates import ends_shown
from bathkin.reports.track import bath_name

if TYPE_CHECKING:
    from bathkin.tracking.record import TrackRecord

AnyBath = TypeVar("AnyBath")
_LONG_AFTER = "9999"


class Line(NamedTuple):
    """A bath in the overview.

    Attributes:
        bath: Its name.
        log_to: When its last row was written.
        turnovers: So far.
        metal_pct: Metal, per cent of its set-point.
        alarms: How many stand.
        ends: When it must go, P10, P50 and P90, as shown.
        first_limit: The likeliest one.
        date: When it must go, the median, where its log has dates.
        left_h: The same from the last row, h.
    """

    bath: str
    log_to: str
    turnovers: str
    metal_pct: str
    alarms: int
    ends: list[str]
    first_limit: str
    date: str | None
    left_h: float | None


def line_of(track: TrackRecord) -> Line:
    """A followed bath in the overview."""
    return Line(
        bath_name(track),
        track.now or f"{number(track.now_h)} h",
        f"{turnovers(track):.1f}",
        metal_pct(track),
        len(track.alarms),
        ends_shown(track),
        first_limit(track),
        track.dump.date.p50,
        track.dump.left_h.p50,
    )


def in_order(baths: Sequence[AnyBath], line: Callable[[AnyBath], Line]) -> list[AnyBath]:
    """The same, the one that must go first in front; those that reach no limit at the end."""
    dated = all(line(one).date or line(one).left_h is None for one in baths)

    def key(one: AnyBath) -> tuple[str, float]:
        of = line(one)
        hours = float("inf") if of.left_h is None else of.left_h
        return (of.date or _LONG_AFTER) if dated else "", hours

    return sorted(baths, key=key)


def tanks_text(lines: Sequence[Line]) -> str:
    """The overview, in this order."""
    columns = [
        Column("bath", [one.bath for one in lines], left=True),
        Column("log to", [one.log_to for one in lines], left=True),
        Column("turn-\novers", [one.turnovers for one in lines]),
        Column("metal\n% of set", [one.metal_pct for one in lines]),
        Column("alarms", [str(one.alarms or "-") for one in lines]),
    ]
    columns += [
        Column(f"must go\n{name}", [one.ends[at] for one in lines])
        for at, name in enumerate(("P10", "P50", "P90"))
    ]
    columns.append(Column("first limit", [one.first_limit for one in lines], left=True))
    return layout.render(columns)


def turnovers(track: TrackRecord) -> float:
    """Turnovers today."""
    return next(one.value for one in track.standing if one.name == "turnovers")


def metal_pct(track: TrackRecord) -> str:
    """Metal in per cent of its set-point."""
    name = "metal_g_l"
    pct = next((one.pct_of_set_point for one in track.standing if one.name == name), None)
    return "-" if pct is None else f"{pct:.0f}"


def first_limit(track: TrackRecord) -> str:
    """The likeliest first limit with its probability."""
    for name, part in track.first_limit.items():
        words = "none" if name == "none" else track.recipe.words(name)[0]
        return f"{words} {100 * part:.0f} %"
    return "-"
