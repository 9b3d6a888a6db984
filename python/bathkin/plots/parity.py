"""Calculated against observed, and residuals against rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin.fit.data import names_of
from bathkin.plots.picture import BLUE, GREEN, INK, RED, Picture, plain_axes
from bathkin.plots.residuals import standardised, title, worded

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.fit.record import FitRecord

_COLOURS = (INK, RED, GREEN, "#c77f1a", "#7a4fa0")
_MARKS = "osD^v"


def plot_parity(fit: FitRecord, sheet: int | None) -> Figure:
    """A row for each measured column: calculated against observed, and residuals."""
    columns = fit.columns
    names = names_of(fit.data)
    shown = names if sheet is None else [names[sheet]]
    chosen = np.isin(columns["file"], shown)
    measured = [
        one.column for one in fit.errors if (chosen & (columns["column"] == one.column)).any()
    ]
    height = 4.2 if len(measured) == 1 else 2.7 * len(measured) + 0.6
    figure = Picture(figsize=(9.0, height), layout="constrained")
    grid = figure.subplots(len(measured), 2, squeeze=False)
    for axes, column in zip(grid, measured, strict=True):
        here = chosen & (columns["column"] == column)
        _parity(axes[0], worded(column), columns, here, shown)
        _residuals(axes[1], columns, here, shown)
    if len(shown) > 1:
        handles, texts = _legend(grid)
        figure.legend(
            handles, texts, loc="outside lower center", ncols=len(shown), frameon=False, fontsize=9
        )
    figure.suptitle(title(fit, sheet), fontsize=10)
    return figure


def _legend(grid: NDArray[Any]) -> tuple[list[Any], list[str]]:
    """One entry for each sheet, whichever panels it is in."""
    found: dict[str, Any] = {}
    for axes in grid[:, 1]:
        for handle, text in zip(*axes.get_legend_handles_labels(), strict=True):
            found.setdefault(text, handle)
    return list(found.values()), list(found)


def _parity(
    axes: Any, quantity: str, columns: dict[str, Any], here: NDArray[np.bool_], shown: list[str]
) -> None:
    plain_axes(axes)
    observed, calculated = columns["observed"][here], columns["calculated"][here]
    everything = np.concatenate([observed, calculated])
    low, high = float(everything.min()), float(everything.max())
    margin = 0.05 * (high - low or 1.0)
    ends = [low - margin, high + margin]
    axes.plot(ends, ends, color=BLUE, linewidth=1.2)
    for style, mask in _by_sheet(columns, here, shown):
        axes.plot(columns["observed"][mask], columns["calculated"][mask], **style)
    axes.set_xlabel(f"observed {quantity}", fontsize=9)
    axes.set_ylabel("calculated", fontsize=9)


def _residuals(
    axes: Any, columns: dict[str, Any], here: NDArray[np.bool_], shown: list[str]
) -> None:
    plain_axes(axes)
    known = standardised(axes, columns["standardised_residual"][here])
    values = columns["standardised_residual" if known else "residual"]
    for style, mask in _by_sheet(columns, here, shown):
        axes.plot(columns["row"][mask], values[mask], **style)
    axes.set_xlabel("row", fontsize=9)
    axes.set_ylabel("obs. - calc.,\n" + ("std. deviations" if known else "sigma"), fontsize=9)
    axes.xaxis.get_major_locator().set_params(integer=True)


def _by_sheet(
    columns: dict[str, Any], here: NDArray[np.bool_], shown: list[str]
) -> list[tuple[dict[str, Any], NDArray[np.bool_]]]:
    """How points of each sheet are drawn, and which these are."""
    parts = []
    for place, name in enumerate(shown):
        mask = here & (columns["file"] == name)
        style = {
            "color": _COLOURS[place % len(_COLOURS)],
            "marker": _MARKS[place % len(_MARKS)],
            "markersize": 4.0,
            "linestyle": "",
            "alpha": 0.85,
            "label": name,
        }
        if mask.any():
            parts.append((style, mask))
    return parts
