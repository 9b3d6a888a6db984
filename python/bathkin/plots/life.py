"""The picture of a life: four panels against turnovers, limits and the dump drawn in."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from bathkin.core import dates, layout
from bathkin.core.flags import is_illustrative, of_rates
from bathkin.plots.picture import (
    BLUE,
    GREEN,
    GREY,
    INK,
    RED,
    STYLE,
    Picture,
    headline,
    plain_axes,
    small_print,
)
from bathkin.reports.life import first_limit

if TYPE_CHECKING:
    from bathkin.life.record import LifeRecord


class Curve(NamedTuple):
    """A column to draw."""

    column: str
    legend: str
    colour: str


class Panel(NamedTuple):
    """A panel with its curves, the limits that belong to it, and the least it spans upwards."""

    title: str
    curves: list[Curve]
    limits: list[str]
    smallest_span: float


def draw_life(life: LifeRecord) -> Figure:
    """The picture."""
    figure = Picture(figsize=(9.6, 6.6), layout=ConstrainedLayoutEngine(w_pad=0.12, h_pad=0.08))
    grid = figure.subplots(2, 2, sharex=True)
    for axes, panel in zip(grid.flat, panels(life), strict=True):
        draw_panel(axes, life, panel)
    events = mark_events(list(grid.flat), life)
    for axes in grid[1]:
        axes.set_xlabel("metal turnovers", fontsize=10)
        if life.start is not None:
            date_ticks(axes, life, life.start)
    headline(figure, heading(life))
    notes = ["rate and composition at set-point metal and pH", "estimate, no safety limit"]
    if events:
        notes.insert(0, events)
    if is_illustrative(life.flags):
        notes.append(life.recipe.backing)
    notes += [flag.what for flag in of_rates(life.flags)]
    small_print(figure, notes, width=165)
    return figure


def heading(life: LifeRecord) -> str:
    """What the picture shows, and when the bath is dumped."""
    dump, first = life.dump, first_limit(life)
    time = f"{dump.clock_h:.0f} h on the clock, {dump.plating_h:.0f} h of plating"
    if life.start is not None:
        time = f"{dates.spoken(life.start, dump.clock_h)}, {time}"
    if first is None:
        return f"{life.recipe.name}: no limit reached in {time}"
    words = first.as_given.words
    return f"{life.recipe.name}: dump after {dump.turnovers:.1f} turnovers ({time}), by {words}"


def date_ticks(axes: Any, life: LifeRecord, start: datetime) -> None:
    """The day below each turnover of the axis, as far as the life goes."""
    turnovers, clock_h = life.columns["turnovers"], life.columns["clock_h"]

    def labelled(turnover: float, _: int) -> str:
        if not turnovers[0] <= turnover <= turnovers[-1]:
            return f"{turnover:g}"
        hours = float(np.interp(turnover, turnovers, clock_h))
        return f"{turnover:g}\n{dates.day(dates.at(start, hours))}"

    axes.xaxis.set_major_formatter(labelled)


def panels(life: LifeRecord) -> list[Panel]:
    """The four panels, named by the recipe."""
    recipe = life.recipe
    by_product, alloy = recipe.by_product, recipe.alloy_column
    if alloy is not None:
        fourth = Panel(
            _titled(life, alloy), [Curve(alloy, "", BLUE)], [f"{alloy}_min", f"{alloy}_max"], 1.0
        )
    elif "free_naoh_g_l" in life.columns:
        fourth = Panel(_titled(life, "free_naoh_g_l"), [Curve("free_naoh_g_l", "", BLUE)], [], 0.5)
    else:
        reductant = f"{recipe.reductant}_mol_l"
        fourth = Panel(_titled(life, reductant), [Curve(reductant, "", BLUE)], [], 0.05)
    builds_up = f"{by_product}_mol_l"
    return [
        Panel(
            _titled(life, "deposition_um_h"),
            [Curve("deposition_um_h", "", BLUE)],
            ["deposition_um_h"],
            1e-9,
        ),
        Panel(_titled(life, builds_up), [Curve(builds_up, "", BLUE)], [builds_up], 1e-9),
        Panel(
            "pH",
            [Curve("ph", "in the bath", BLUE), Curve("ph_25c", "sample at 25 °C", GREEN)],
            [],
            0.4,
        ),
        fourth,
    ]


def _titled(life: LifeRecord, column: str) -> str:
    """A column in words with its unit."""
    known = next(one for one in life.recipe.quantities() if one.name == column)
    return f"{known.title}, {known.unit}".replace("um", "µm")


# More rows than this are a line without markers, more events vertical lines without numbers.
_MOST_MARKERS = 60
_MOST_NUMBERS = 6


def mark_events(panels: list[Any], life: LifeRecord) -> str:
    """Vertical lines where something was declared to happen; red where results turn doubtful.

    Returns:
        What the numbers at the lines stand for, for the small print; empty without events.
    """
    events = life._found.events
    numbered = len(events) <= _MOST_NUMBERS
    for axes in panels:
        for number, event in enumerate(events, 1):
            colour = RED if event.doubtful_after else GREY
            axes.axvline(event.turnovers, color=colour, linewidth=0.8, alpha=0.7, zorder=1)
            if numbered:
                axes.annotate(
                    str(number),
                    (event.turnovers, 0.0),
                    xycoords=("data", "axes fraction"),
                    xytext=(-2, 2) if number % 2 else (2, 2),
                    textcoords="offset points",
                    fontsize=8,
                    color=colour,
                    ha="right" if number % 2 else "left",
                )
    names = list(dict.fromkeys(event.event.replace("_", " ") for event in events))
    doubtful = {event.event.replace("_", " ") for event in events if event.doubtful_after}
    if numbered:
        words = [f"{n} {event.event.replace('_', ' ')}" for n, event in enumerate(events, 1)]
    else:
        words = names
    warnings = [f"results after {name} are doubtful" for name in names if name in doubtful]
    return "; ".join([f"vertical lines: {', '.join(words)}", *warnings]) if events else ""


def draw_panel(axes: Any, life: LifeRecord, panel: Panel) -> None:
    """One panel: curves, limits, the dump."""
    plain_axes(axes)
    data, dump = life.columns, life.dump
    x = data["turnovers"]
    values = [data[curve.column] for curve in panel.curves]
    style = STYLE if len(x) <= _MOST_MARKERS else {**STYLE, "marker": ""}
    for curve, y in zip(panel.curves, values, strict=True):
        axes.plot(x, y, color=curve.colour, label=curve.legend or None, clip_on=False, **style)
    limits = [limit for limit in life.limits if limit.name in panel.limits]
    low = min([*(float(y.min()) for y in values), *(limit.bound for limit in limits)])
    high = max([*(float(y.max()) for y in values), *(limit.bound for limit in limits)])
    # What hardly moves is not blown up; room above is for the mark of the dump.
    spare = max(panel.smallest_span - (high - low), 0.0)
    low, high = low - spare / 2, high + spare / 2
    span = high - low
    axes.set_ylim(low - 0.08 * span, high + 0.24 * span)
    axes.set_xlim(0.0, max(dump.turnovers * 1.12, 1e-6))
    for limit in limits:
        axes.axhline(limit.bound, color=RED, linestyle=(0, (5, 3)), linewidth=1.1)
        unit = panel.title.rpartition(", ")[2]
        words = {"min": "lowest", "max": "highest"}.get(limit.name.rsplit("_", 1)[-1], "limit")
        given = limit.as_given
        told = f"{words} {layout.number(limit.bound, 3)} {unit}"
        if given.bound != limit.bound:
            told += f" ({layout.number(given.bound, 3)} {given.unit} {given.words})"
        axes.annotate(
            told,
            (0.02, limit.bound),
            xycoords=("axes fraction", "data"),
            xytext=(0, 3),
            textcoords="offset points",
            fontsize=8,
            color=RED,
            va="bottom",
        )
    axes.axvline(dump.turnovers, color=GREY, linewidth=1.0, linestyle=":")
    axes.annotate(
        "dump" if dump.limit != "none" else "end",
        (dump.turnovers, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(-4, -2),
        textcoords="offset points",
        fontsize=8,
        color=GREY,
        ha="right",
        va="top",
    )
    axes.set_title(panel.title, loc="left", fontsize=10, color=INK)
    if any(curve.legend for curve in panel.curves):
        axes.legend(frameon=False, fontsize=8, loc="upper left", ncols=2, borderaxespad=0.1)
