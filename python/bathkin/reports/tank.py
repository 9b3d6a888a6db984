"""How a tank was run, as text: what happened, the volumes, the racks, the stress of the deposit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from bathkin.core import dates, layout
from bathkin.core.layout import Column, aligned, number

if TYPE_CHECKING:
    from bathkin.life.record import LifeRecord

DOUBTFUL = "<- results after this time doubtful"
# More rows than this are summed up: --loads and --json have them all.
_MOST_ROWS = 12
_VOLUMES = {
    "solutions": "solutions brought in",
    "evaporated": "evaporated",
    "water": "water made up",
    "drag_out": "dragged out",
    "bled": "bled or taken out",
    "overflow": "over the brim",
}


def tank_text(life: LifeRecord) -> str:
    """Events, volumes, racks and stress, as far as there are any; empty for a plain life."""
    parts = [events_text(life), volumes_text(life), loads_text(life), stress_text(life)]
    return "\n\n".join(part for part in parts if part)


def date_column(start: datetime | None, hours: Sequence[float]) -> list[Column]:
    """The dates of a column of hours, for behind it; nothing without a start."""
    return [] if start is None else [Column("date", dates.texts(start, hours), left=True)]


def events_text(life: LifeRecord) -> str:
    """What was declared to happen, and when it did."""
    events = life._found.events
    if not events:
        return ""
    kept = events[:_MOST_ROWS]
    table = layout.render(
        [
            Column("clock\nh", [f"{event.clock_h:.1f}" for event in kept]),
            *date_column(life.start, [event.clock_h for event in kept]),
            Column("turn-\nover", [f"{event.turnovers:.2f}" for event in kept]),
            Column("event", [event.event for event in kept], left=True),
            Column("", [DOUBTFUL if event.doubtful_after else "" for event in kept], left=True),
        ]
    )
    what = {event.event: event.what for event in events}
    lines = [layout.wrapped(f"{name}: {words}", 0, 2) for name, words in what.items()]
    if len(events) > len(kept):
        lines.insert(0, f"and {len(events) - len(kept)} more, which --json lists")
    return "\n".join([table, *lines])


def volumes_text(life: LifeRecord) -> str:
    """Where the liquid went, in one line; empty for a tank that lost and got none."""
    volumes = life.volumes
    moved = [
        f"{words} {number(volumes[f'{name}_l'], 3)}"
        for name, words in _VOLUMES.items()
        if volumes[f"{name}_l"] > 1e-9 * volumes["volume_l"]
    ]
    if volumes["water_l"] < -1e-9 * volumes["volume_l"]:
        out = number(-volumes["water_l"], 3)
        moved.append(f"water taken out to hold the level {out}")
    if all(
        abs(volumes[f"{name}_l"]) < 1e-9 for name in ("evaporated", "drag_out", "bled", "overflow")
    ):
        return ""
    now = f"bath {number(volumes['volume_l'], 4)} at the end"
    return layout.wrapped(f"volumes, L: {', '.join([now, *moved])}", 0, 2)


def loads_text(life: LifeRecord) -> str:
    """The racks by name: how many, their area, the thickness they came out with."""
    racks = life._found.loads
    if not racks:
        return ""
    names = list(dict.fromkeys(rack.name for rack in racks))
    if len(names) > _MOST_ROWS:
        groups = {"all racks": racks}
    else:
        groups = {name: [rack for rack in racks if rack.name == name] for name in names}

    def of(key: str, pick: str) -> list[float]:
        ends = {"min": min, "max": max}
        return [ends[pick](getattr(rack, key) for rack in group) for group in groups.values()]

    columns = [
        Column("rack", list(groups), left=True),
        Column("came\nout", [str(len(group)) for group in groups.values()]),
        Column(
            "area\nm2",
            aligned([sum(rack.area_dm2 for rack in group) / 100 for group in groups.values()]),
        ),
        Column("thinnest\num", aligned(of("thickness_um", "min"), 3)),
        Column("thickest\num", aligned(of("thickness_um", "max"), 3)),
    ]
    element = life.recipe.alloy
    if element is not None:
        columns += [
            Column(f"{element}\nlowest wt%", aligned(of("alloy_wt_pct", "min"), 3)),
            Column(f"{element}\nhighest wt%", aligned(of("alloy_wt_pct", "max"), 3)),
        ]
    return layout.render(columns)


def stress_text(life: LifeRecord) -> str:
    """Which way the stress tends, and the evidence for it."""
    stress = life.stress
    if stress is None:
        return ""
    fresh, end = stress.fresh, stress.end
    course = end.tendency
    if fresh.tendency != end.tendency:
        course = f"{fresh.tendency} when fresh, {end.tendency} at the end"
    text = f"stress tendency: {course}; an indicator, measure it on strips ({end.evidence})"
    return layout.wrapped(text, 0, 2)
