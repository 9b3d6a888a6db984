"""The picture of many fits: each number over the tanks, with its interval."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from bathkin.plots.picture import (
    BLUE,
    GREY,
    INK,
    RED,
    Picture,
    headline,
    label,
    plain_axes,
    small_print,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.core.results import Flag

_MOST_NAMES = 30
_MOST_PATHS = 6


class Fits(Protocol):
    """What is drawn of many fits; see `bathkin.Fleet`."""

    names: list[str]

    @property
    def fits(self) -> Mapping[str, Any]:
        """Fits by tank."""

    @property
    def paths(self) -> Sequence[str]:
        """Paths of the numbers."""

    @property
    def flags(self) -> Sequence[Flag]:
        """Warnings."""


def plot_fleet(found: Fits) -> Figure:
    """See `Fleet.plot`: tanks from the least value to the greatest, 95 % intervals as lines."""
    paths = list(found.paths)[:_MOST_PATHS]
    tall = 2.6 if len(found.fits) > _MOST_NAMES else max(2.6, 0.24 * len(found.fits) + 1.0)
    figure = Picture(figsize=(8.0, tall * max(len(paths), 1) + 0.9), layout="constrained")
    for place, path in enumerate(paths):
        axes = figure.add_subplot(len(paths), 1, place + 1)
        plain_axes(axes)
        _numbers(axes, found, path)
        axes.set_xlabel(label(path), fontsize=9, color=INK)
    headline(figure, f"{len(found.fits)} of {len(found.names)} tanks")
    notes = ["lines: 95 % intervals; red: the model misses the data; dashed: median of the tanks"]
    small_print(figure, [*notes, *map(str, found.flags)])
    return figure


def _numbers(axes: Any, found: Fits, path: str) -> None:
    rows = [
        (one, bool(fit.misfit), name)
        for name, fit in found.fits.items()
        for one in fit.estimates
        if one.path == path
    ]
    rows.sort(key=lambda row: row[0].value)
    many = len(rows) > _MOST_NAMES
    wide, faint, size = (0.5, 0.5, 1.8) if many else (1.2, 1.0, 3.5)
    for height, (one, misses, _) in enumerate(rows):
        colour = RED if misses else BLUE
        ends = one.interval95
        if ends is not None:
            axes.plot(ends, [height, height], color=colour, linewidth=wide, alpha=faint)
        axes.plot([one.value], [height], "o", color=colour, markersize=size)
    median = float(np.median([one.value for one, _, _ in rows]))
    axes.axvline(median, color=GREY, linewidth=0.9, linestyle="--")
    if not many:
        axes.set_yticks(range(len(rows)), [name for _, _, name in rows], fontsize=7)
    else:
        axes.set_ylabel("tanks, by their value", fontsize=9, color=INK)
