"""Several baths today: one line each, the one that must go first on top."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeVar

from bathkin.core import layout
from bathkin.core.layout import Column, number
from bathkin.reports.dates import ends_shown
from bathkin.reports.track import bath_name

if TYPE_CHECKING:
    from bathkin.tracking.record import TrackRecord

AnyTrack = TypeVar("AnyTrack", bound="TrackRecord")
_LONG_AFTER = "9999"


def in_order(tracks: Sequence[AnyTrack]) -> list[AnyTrack]:
    """The same, the one that must go first in front; those that reach no limit at the end."""
    dated = all(track.dump.date.p50 or track.dump.left_h.p50 is None for track in tracks)

    def key(track: AnyTrack) -> tuple[str, float]:
        left = track.dump.left_h.p50
        hours = float("inf") if left is None else left
        return (track.dump.date.p50 or _LONG_AFTER) if dated else "", hours

    return sorted(tracks, key=key)


def tanks_text(tracks: Sequence[TrackRecord]) -> str:
    """The overview."""
    ordered = in_order(tracks)
    ends = [ends_shown(track) for track in ordered]
    columns = [
        Column("bath", [bath_name(track) for track in ordered], left=True),
        Column("log to", [track.now or f"{number(track.now_h)} h" for track in ordered], left=True),
        Column("turn-\novers", [f"{turnovers(track):.1f}" for track in ordered]),
        Column("metal\n% of set", [metal_pct(track) for track in ordered]),
        Column("alarms", [str(len(track.alarms) or "-") for track in ordered]),
    ]
    columns += [
        Column(f"must go\n{name}", [cells[at] for cells in ends])
        for at, name in enumerate(("P10", "P50", "P90"))
    ]
    columns.append(Column("first limit", [first_limit(track) for track in ordered], left=True))
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
