"""The picture of a fitted log: every reading over time, with the fitted bath between its rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from bathkin.fit.data import names_of
from bathkin.plots.picture import BLUE, INK, Picture, plain_axes
from bathkin.plots.residuals import standardised, title, worded
from bathkin.tables.logs import Log

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.fit.record import FitRecord

# More panels than this stand in two columns.
_STACKED = 3


def plot_log(fit: FitRecord, sheet: int) -> Figure:
    """A panel for each reading of log number `sheet`, its residuals below it; see `Fit.plot`."""
    name = names_of(fit.data)[sheet]
    log = fit.data[sheet]
    columns = fit.columns
    here = columns["file"] == name
    readings = list(dict.fromkeys(columns["column"][here]))
    course = fit.course(sheet)
    wide = 1 if len(readings) <= _STACKED else 2
    high = -(-len(readings) // wide)
    figure = Picture(figsize=(8.0 if wide == 1 else 11.0, 2.9 * high + 0.7), layout="constrained")
    grid = figure.subplots(
        2 * high, wide, squeeze=False, sharex=True, gridspec_kw={"height_ratios": [3, 1] * high}
    )
    hours = dict(zip(log.rows, log.columns["time_h"], strict=True))
    for place, column in enumerate(readings):
        chosen = here & (columns["column"] == column)
        panel, below = grid[2 * (place // wide) : 2 * (place // wide) + 2, place % wide]
        times = np.array([hours[row] for row in columns["row"][chosen]], dtype=float)
        own = {name: cells[chosen] for name, cells in columns.items()}
        _reading(panel, column, times, own, course)
        _below(below, times, own)
    for place in range(len(readings), wide * high):
        for axes in grid[2 * (place // wide) : 2 * (place // wide) + 2, place % wide]:
            axes.set_axis_off()
    for at in range(wide):
        # The last panel of each column of panels has the times.
        last = 2 * ((len(readings) - 1 - at) // wide) + 1
        grid[last, at].set_xlabel(_when(log), fontsize=9)
        grid[last, at].tick_params(labelbottom=True)
    handles, texts = grid[0, 0].get_legend_handles_labels()
    figure.legend(handles, texts, loc="outside lower center", ncols=2, frameon=False, fontsize=9)
    figure.suptitle(title(fit, sheet), fontsize=10)
    return figure


def _when(log: object) -> str:
    start = log.start if isinstance(log, Log) else None
    return f"hours since {start.isoformat(' ', 'minutes')}" if start else "time, h"


def _reading(axes: Any, column: str, times: Any, own: dict[str, Any], course: Any) -> None:
    plain_axes(axes)
    if column in course:
        axes.plot(course["time_h"], course[column], color=BLUE, linewidth=1.2, label="fitted bath")
    else:
        # What gathers from row to row has no value between them.
        axes.plot(times, own["calculated"], "_", color=BLUE, markersize=9, label="fitted bath")
    axes.plot(times, own["observed"], "o", color=INK, markersize=3.8, label="reading")
    axes.set_ylabel(worded(column), fontsize=9)


def _below(axes: Any, times: Any, own: dict[str, Any]) -> None:
    plain_axes(axes)
    known = standardised(axes, own["standardised_residual"])
    # As the picture above: what lies over the line is above zero.
    values = own["standardised_residual" if known else "residual"]
    axes.vlines(times, 0.0, values, color=INK, linewidth=0.8)
    axes.plot(times, values, "o", color=INK, markersize=2.5)
    axes.set_ylabel("std. dev." if known else "sigma", fontsize=8)
