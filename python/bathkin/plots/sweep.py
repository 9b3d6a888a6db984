"""The picture of a sweep: what was varied against rate, alloy and free metal, with the reasons."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any, NamedTuple

import matplotlib
import numpy as np
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from bathkin.core import layout
from bathkin.core.flags import from_dicts, of_rates
from bathkin.errors import RecipeError
from bathkin.plots.picture import BLUE, INK, STYLE, Picture, headline, label, named, plain_axes

if TYPE_CHECKING:
    import pandas as pd

_MOST_PATHS, _MOST_COLUMNS, _MOST_NAMED = 3, 8, 10
# Inches of a panel, and what legend, title and reasons need beside them.
_WIDE, _WIDE_OF_TWO, _HIGH, _LEGEND = 3.5, 4.6, 2.7, 1.7
_CHARACTERS_PER_INCH, _LINE = 16.5, 0.16
# Causes of a reason that are told; lines closer than this part of the highest are one.
_CAUSES, _SAME = 2, 1e-3
# What changes by less than this part is drawn as flat, not blown up.
_FLAT = 0.01


class _Panel(NamedTuple):
    """One quantity of the sweep."""

    column: str
    text: str
    from_zero: bool = False
    # Another column, drawn thin and dotted for comparison.
    beside: str | None = None


def draw_sweep(table: pd.DataFrame) -> Figure:
    """The picture; see `Sweep.plot`."""
    varied = list(table.attrs["varied"])
    if not 1 <= len(varied) <= _MOST_PATHS:
        raise RecipeError(
            f"plot: {len(varied)} paths were varied: expected one, two or {_MOST_PATHS}"
        )
    panels = _panels(table)
    # Small multiples: a column per value of the third path, a row per quantity.
    multiples = list(table.groupby(varied[2], sort=False)) if len(varied) > 2 else [(None, table)]
    if len(multiples) > _MOST_COLUMNS:
        raise RecipeError(
            f"plot: {varied[2]} takes {len(multiples)} values: expected at most {_MOST_COLUMNS},"
            " for each has a column of panels"
        )
    rows, columns = _shape(len(panels), len(multiples))
    lines = list(dict.fromkeys(table[varied[1]])) if len(varied) > 1 else [None]
    width = (_WIDE if columns > 2 else _WIDE_OF_TWO) * columns + (
        _LEGEND if len(varied) > 1 else 0.0
    )
    notes = _notes(table, varied, int(width * _CHARACTERS_PER_INCH))
    figure = Picture(
        figsize=(width, _HIGH * rows + 0.5 + _LINE * len(notes)),
        layout=ConstrainedLayoutEngine(w_pad=0.08, h_pad=0.06),
    )
    grid = figure.subplots(rows, columns, squeeze=False, sharex=True)
    cells = list(grid.flat) if len(multiples) == 1 else []
    for at, panel in enumerate(panels):
        axes_of = [cells[at]] if cells else list(grid[at])
        for axes, (value, part) in zip(axes_of, multiples, strict=True):
            _draw(axes, part, panel, varied, lines)
            if at == 0 and value is not None:
                axes.set_title(_setting(varied[2], value), fontsize=10, color=INK)
        _scale(axes_of, table, panel)
        axes_of[0].set_ylabel(panel.text)
    for axes in cells[len(panels) :]:
        axes.remove()
    for at, axes in enumerate(grid.flat):
        # The lowest of each column names the abscissa.
        if axes.figure is not None and (cells or at >= (rows - 1) * columns):
            below = at + columns < (len(panels) if cells else rows * columns)
            axes.tick_params(labelbottom=not below)
            axes.set_xlabel("" if below else label(varied[0]))
    _legend(figure, grid.flat[0], varied, lines)
    title = f"{table.attrs['recipe']}: the fresh bath over {named(varied[0])[0]}"
    headline(figure, title)
    if notes:
        figure.supxlabel("\n".join(notes), fontsize=7.5, color=INK, x=0.01, ha="left")
    return figure


def _shape(panels: int, multiples: int) -> tuple[int, int]:
    """Rows and columns of panels."""
    if multiples > 1:
        return panels, multiples
    return (1, panels) if panels <= 3 else (2, -(-panels // 2))


def _panels(table: pd.DataFrame) -> list[_Panel]:
    """The quantities worth a panel."""
    panels = [_Panel("deposition_um_h", "rate, µm/h", from_zero=True)]
    alloy = _alloy(table)
    if alloy is not None:
        panels.append(_Panel(alloy, label(alloy)))
    metal = layout.spoken(str(table.attrs["metal"]))
    panels.append(_Panel("free_metal_mol_l", f"free {metal}, mol/L"))
    if not np.allclose(table["surface_ph"], table["ph"], rtol=0.0, atol=1e-6, equal_nan=True):
        panels.append(_Panel("surface_ph", "pH at the surface", beside="ph"))
    if table["plate_out_pct"].notna().any():
        panels.append(_Panel("plate_out_pct", "plate-out, % of the rate", from_zero=True))
    return panels


def _alloy(table: pd.DataFrame) -> str | None:
    """Column of the alloying element; None for a pure metal."""
    column: str | None = table.attrs["alloy_column"]
    return column


def _draw(
    axes: Any, part: pd.DataFrame, panel: _Panel, varied: list[str], lines: list[Any]
) -> None:
    """The lines of one panel."""
    plain_axes(axes)
    high = float(part[panel.column].abs().max())
    for colour, value in zip(_colours(len(lines)), lines, strict=True):
        rows = part if value is None else part[part[varied[1]] == value]
        rows = rows.sort_values(varied[0])
        along = rows[varied[0]]
        if panel.beside is not None:
            axes.plot(along, rows[panel.beside], color=colour, linewidth=1.0, linestyle=":")
        axes.plot(along, rows[panel.column].astype(float), color=colour, **STYLE)
    remarks = []
    if panel.beside is not None:
        remarks.append("dotted: the bath's")
    spans = part.groupby(varied[0])[panel.column].agg(np.ptp).dropna()
    if len(lines) > 1 and (spans <= _SAME * high).all():
        remarks.append("all lines are one")
    if remarks:
        axes.set_title("; ".join(remarks), loc="right", fontsize=8, color=INK)


def _scale(axes_of: list[Any], table: pd.DataFrame, panel: _Panel) -> None:
    """One scale for a quantity: from zero, in decades, or around what does not change."""
    values = table[panel.column].astype(float).dropna().to_numpy()
    if len(values) == 0:
        return
    low, high = float(values.min()), float(values.max())
    if panel.beside is not None:
        other = table[panel.beside]
        low, high = min(low, float(other.min())), max(high, float(other.max()))
    if panel.column == "free_metal_mol_l" and 0.0 < 10.0 * low < high:
        for axes in axes_of:
            axes.set_yscale("log")
            axes.set_ylim(low / 1.5, high * 1.5)
        return
    margin = 0.06 * (high - low)
    if high == low or (panel.beside is None and high - low <= _FLAT * abs(high)):
        margin = 0.1 * abs(high) or 1.0
    bottom = 0.0 if panel.from_zero else low - margin
    for axes in axes_of:
        axes.set_ylim(bottom, high + margin)


def _legend(figure: Figure, axes: Any, varied: list[str], lines: list[Any]) -> None:
    """Outside the panels; of many lines only some are named."""
    if len(varied) < 2:
        return
    chosen = sorted({round(at) for at in np.linspace(0, len(lines) - 1, _MOST_NAMED)})
    words, unit = named(varied[1])
    heading = textwrap.fill(f"{words}, {unit}" if unit else words, 22)
    figure.legend(
        [axes.lines[at] for at in chosen],
        [layout.number(lines[at]) for at in chosen],
        loc="outside right upper",
        title=heading,
        frameon=False,
        fontsize=9,
        title_fontsize=9,
    )


def _colours(count: int) -> list[Any]:
    if count == 1:
        return [BLUE]
    return list(matplotlib.colormaps["viridis"](np.linspace(0.08, 0.85, count)))


def _setting(path: str, value: float) -> str:
    words, unit = named(path)
    return f"{words} {layout.number(value)} {unit}".rstrip()


def _notes(table: pd.DataFrame, varied: list[str], width: int) -> list[str]:
    """Why the lines go where they go, from the reasons of the table, and how far it is backed."""
    notes: list[str] = []
    for path in varied:
        if table[path].nunique() < 2:
            continue
        heading, *reasons = _reasons(table, varied, path)
        notes += textwrap.wrap(heading, width)
        for reason in reasons:
            notes += textwrap.wrap(reason, width, initial_indent="   ", subsequent_indent="      ")
    for flag in table.attrs["flags"]:
        if flag["where"] == "recipe":
            notes += textwrap.wrap(flag["what"], width)
    for warning in of_rates(from_dicts(table.attrs["flags"])):
        notes += textwrap.wrap(warning.what, width)
    return notes


def _reasons(table: pd.DataFrame, varied: list[str], path: str) -> list[str]:
    """What one path does to each quantity while the others keep their first value."""
    rows, kept = table, []
    for other in varied:
        if other != path:
            value = rows[other].iloc[0]
            rows = rows[rows[other] == value]
            kept.append(_setting(other, value))
    first, last = rows.iloc[0], rows.iloc[-1]
    said = [("rate", last["reason"])]
    peak = rows.iloc[int(np.nanargmax(rows["deposition_um_h"].to_numpy()))]
    if peak[path] not in (first[path], last[path]):
        where = f"rate to its peak at {layout.number(peak[path])}"
        said = [(where, peak["reason"]), ("rate to the end", last["reason"])]
    element = table.attrs["alloy"]
    if element is not None:
        said.append((layout.spoken(element), last[f"{element}_reason"]))
    said.append((f"free {layout.spoken(str(table.attrs['metal']))}", last["free_metal_reason"]))
    reasons = [f"{what}: {_cut(reason)}" for what, reason in said if isinstance(reason, str)]
    words, unit = named(path)
    span = f"{layout.number(first[path])} to {layout.number(last[path])} {unit}".rstrip()
    heading = " at ".join([f"{words} {span}", " and ".join(kept)] if kept else [f"{words} {span}"])
    return [heading, *(reasons or ["nothing drawn here depends on it"])]


def _cut(reason: str) -> str:
    """The first causes, which are the largest."""
    causes = reason.split("; ")
    return "; ".join(causes[:_CAUSES]) + ("; …" if len(causes) > _CAUSES else "")
