"""The picture of a followed bath: what is believed, readings, findings, the date with its band."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from bathkin.plots.picture import BLUE, GREEN, GREY, INK, RED, Picture, plain_axes, small_print
from bathkin.reports.track import bath_name

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.tracking.record import TrackRecord


def plot_track(track: TrackRecord) -> Figure:
    """See `Track.plot`."""
    figure = Picture(figsize=(9.0, 8.2), layout="constrained")
    metal, by_product, ends = figure.subplots(3, 1, height_ratios=[3, 3, 2])
    time = _times(track)
    # What was added after a row is not in it: no line leads from row to row.
    _band(
        metal,
        time,
        [r.metal_g_l for r in track.rows],
        [r.metal_sd_g_l for r in track.rows],
        joined=False,
    )
    _readings(metal, track, time, track.recipe.metal, "_g_l")
    _marks(metal, track, time)
    metal.set_ylabel(f"{track.recipe.metal}, g/L", fontsize=9)
    _band(
        by_product,
        time,
        [r.by_product_mol_l for r in track.rows],
        [r.by_product_sd_mol_l for r in track.rows],
    )
    _readings(by_product, track, time, track.recipe.by_product, "_mol_l")
    by_product.set_ylabel(f"{track.recipe.by_product}, mol/L", fontsize=9)
    _ends(ends, track)
    for axes in (metal, by_product, ends):
        plain_axes(axes)
    if track.log.start:
        for axes in (metal, by_product, ends):
            axes.tick_params(axis="x", labelrotation=20)
    metal.set_title(
        f"{bath_name(track)} along {track.log.file}: what is believed (2 sd) and what was read",
        loc="left",
        fontsize=10,
        color=INK,
    )
    small_print(figure, ["estimate for planning, no safety limit: analyse"])
    return figure


def _times(track: TrackRecord) -> list[Any]:
    hours = [row.time_h for row in track.rows]
    start = track.log.start
    return [start + timedelta(hours=h) for h in hours] if start else hours


def _band(
    axes: Any, time: list[Any], mean: list[float], sd: list[float], joined: bool = True
) -> None:
    middle, width = np.array(mean), 2.0 * np.array(sd)
    # A slip of the pen is marked at the edge, and does not set the scale.
    low, high = float(min(middle - width)), float(max(middle + width))
    margin = 0.6 * (high - low)
    axes.set_ylim(max(low - margin, min(low, 0.0)), high + margin)
    if not joined:
        axes.errorbar(time, middle, width, fmt="_", color=BLUE, elinewidth=3, alpha=0.45)
        return
    axes.fill_between(time, middle - width, middle + width, color=BLUE, alpha=0.2, linewidth=0)
    axes.plot(time, middle, color=BLUE, linewidth=1.4)


def _readings(axes: Any, track: TrackRecord, time: list[Any], component: str, ending: str) -> None:
    for taken, colour, mark in ((True, INK, "o"), (False, RED, "x")):
        low, high = axes.get_ylim()
        points = [
            (at, min(max(one.value, low), high))
            for at, row in zip(time, track.rows, strict=True)
            for one in row.readings
            if one.component == component and one.column.endswith(ending) and one.taken is taken
        ]
        if points:
            x, y = zip(*points, strict=True)
            label = "read" if taken else "read, left out"
            axes.plot(x, y, mark, color=colour, markersize=3.5, label=label)
    if axes.get_legend_handles_labels()[0]:
        axes.legend(frameon=False, fontsize=8, loc="best")


def _marks(axes: Any, track: TrackRecord, time: list[Any]) -> None:
    at = {row.row: when for row, when in zip(track.rows, time, strict=True)}
    for one in track.findings:
        if one.row in at:
            colour = RED if one.grade == "finding" else GREY
            axes.axvline(at[one.row], color=colour, linewidth=0.8, linestyle=":")


def _ends(axes: Any, track: TrackRecord) -> None:
    """How many of ten members have ended by then."""
    ends = sorted(end for end in track.ends_h if end is not None)
    axes.set_ylabel("gone by then, %", fontsize=9)
    axes.set_ylim(0, 105)
    if not ends:
        return
    start = track.log.start
    x: list[Any] = [start + timedelta(hours=end) for end in ends] if start else list(ends)
    share = 100.0 * np.arange(1, len(ends) + 1) / len(track.ends_h)
    axes.step(x, share, where="post", color=GREEN, linewidth=1.6)
    for end in ("p10", "p50", "p90"):
        hours = getattr(track.dump.clock_h, end)
        if hours is None:
            continue
        at = start + timedelta(hours=hours) if start else hours
        text = getattr(track.dump.date, end) or f"{hours:.0f} h"
        axes.plot([at], [int(end[1:])], "o", color=INK, markersize=4)
        axes.annotate(
            f"P{end[1:]} {text}",
            (at, int(end[1:])),
            xytext=(7, -4),
            textcoords="offset points",
            fontsize=8,
            color=INK,
        )
    if not start:
        axes.set_xlabel("hours from the first row", fontsize=9)
