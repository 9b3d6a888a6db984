"""The picture of a load: thickness against time, and the start of deposition beside it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from bathkin.core import layout
from bathkin.plots.picture import BLUE, GREY, INK, RED, Picture, headline, plain_axes, small_print

if TYPE_CHECKING:
    from bathkin.bath.results import Plate

_SECONDS = 60.0
# The start is drawn over so many induction times.
_START = 4.0


def draw_load(load: Plate, surface: str) -> Figure:
    """The picture."""
    late = 0.0 < load.induction_s < load.minutes * _SECONDS
    figure = Picture(
        figsize=(9.6, 4.2) if late else (6.4, 4.2),
        layout=ConstrainedLayoutEngine(w_pad=0.12, h_pad=0.08),
    )
    axes = figure.subplots(1, 2 if late else 1, squeeze=False)[0]
    minutes, thickness = load.columns.minutes, load.columns.thickness_um
    plain_axes(axes[0])
    axes[0].plot(minutes, thickness, color=BLUE, linewidth=1.6)
    axes[0].set(xlabel="time in the bath, min", xlim=(0.0, None), ylim=(0.0, None))
    axes[0].set_title("mean thickness, µm", loc="left", fontsize=10, color=INK)
    if late:
        draw_start(axes[1], load, minutes * _SECONDS, thickness)
    size, time = layout.number(load.area_dm2), layout.number(load.minutes)
    grown = layout.number(load.thickness_um, 3)
    headline(figure, f"{surface}, {size} dm²: {grown} µm in {time} min")
    notes = ["estimate, no safety limit"]
    notes += [flag.what for flag in load.flags if flag.where in ("recipe", "work.substrate")]
    small_print(figure, notes, width=165 if late else 110)
    return figure


def draw_start(axes: Any, load: Plate, seconds: Any, thickness: Any) -> None:
    """The first induction times: thickness with its late straight line, and the part covered."""
    plain_axes(axes)
    end = min(_START * load.induction_s, load.minutes * _SECONDS)
    shown = seconds <= end * 1.0001
    axes.plot(seconds[shown], thickness[shown], color=BLUE, linewidth=1.6)
    top = max(float(thickness[shown].max()), 1e-9)
    line_end = load.deposition_start_um_h * (end - load.induction_s) / 3600.0
    axes.plot([load.induction_s, end], [0.0, line_end], color=GREY, linewidth=1.0, linestyle="--")
    axes.set(xlim=(0.0, end), ylim=(0.0, max(top, line_end) * 1.12), xlabel="time in the bath, s")
    axes.set_title("the start: mean thickness, µm", loc="left", fontsize=10, color=BLUE)
    axes.axvline(load.induction_s, color=GREY, linewidth=1.0, linestyle=":")
    digits = max(0, 1 - math.floor(math.log10(load.induction_s)))
    axes.annotate(
        f"induction time {load.induction_s:.{digits}f} s",
        (load.induction_s, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(4, -2),
        textcoords="offset points",
        fontsize=8,
        color=GREY,
        va="top",
    )
    covered = axes.twinx()
    covered.spines[["top", "left"]].set_visible(False)
    part = 100.0 * load.columns.coverage[shown]
    covered.plot(seconds[shown], part, color=RED, linewidth=1.2)
    covered.set_ylim(0.0, 112.0)
    covered.tick_params(colors=RED, labelsize=9)
    covered.set_title("covered, %", loc="right", fontsize=10, color=RED)
