"""Labels beside the curves they name, in place of a legend."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import matplotlib.patheffects
import numpy as np
from matplotlib.textpath import TextPath
from numpy.typing import NDArray

_FONT_PT = 8.5
_GAP_PT = 3.0
# Points along a curve that are tried and looked at.
_LOOKED_AT = 160


class Labelled(NamedTuple):
    """A curve with its name."""

    y: NDArray[np.float64]
    text: str
    colour: str


class _Box(NamedTuple):
    """A box in points from the lower left corner of the axes."""

    left: float
    low: float
    right: float
    high: float

    def overlaps(self, other: _Box) -> bool:
        """True when they share a place."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.low < other.high
            and other.low < self.high
        )

    def holds(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> int:
        """How many points lie in it."""
        inside = (x > self.left) & (x < self.right) & (y > self.low) & (y < self.high)
        return int(inside.sum())


def name_curves(
    axes: Any,
    x: NDArray[np.float64],
    curves: Sequence[Labelled],
    keep_clear: Sequence[float] = (),
) -> None:
    """Writes each curve's name where it lies on nothing else and near no other curve.

    Args:
        axes: Axes with the curves drawn and their limits set.
        x: Common abscissa.
        curves: Curves to name.
        keep_clear: Abscissae of vertical lines that labels should not lie on.
    """
    # The layout decides how many points wide the axes are.
    axes.figure.draw_without_rendering()
    window = axes.get_window_extent()
    scale = 72.0 / axes.figure.dpi
    width, height = window.width * scale, window.height * scale
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    along = np.linspace(max(x.min(), left), min(x.max(), right), _LOOKED_AT)
    order = np.argsort(x)
    across = (along - left) / (right - left) * width
    heights = [
        (np.interp(along, x[order], curve.y[order]) - low) / (high - low) * height
        for curve in curves
    ]
    lines = [(at - left) / (right - left) * width for at in keep_clear]
    taken: list[_Box] = []
    # The tallest first: it has most to choose from where it stands out, and is looked for first.
    for number in sorted(range(len(curves)), key=lambda number: -float(heights[number].max())):
        size = TextPath((0, 0), curves[number].text, size=_FONT_PT).get_extents()
        best: tuple[float, _Box] | None = None
        for box in _places(across, heights[number], size.width, _FONT_PT):
            if box.left < 6 or box.right > width - 6 or box.low < 1 or box.high > height - 2:
                continue
            if any(box.overlaps(other) for other in taken):
                continue
            score = _clutter(box, number, across, heights, lines)
            if best is None or score < best[0]:
                best = score, box
        if best is None:
            continue
        box = best[1]
        taken.append(_Box(box.left - 4, box.low - 1, box.right + 4, box.high + 1))
        axes.text(
            (box.left + box.right) / 2 / width,
            (box.low + box.high) / 2 / height,
            curves[number].text,
            transform=axes.transAxes,
            ha="center",
            va="center",
            fontsize=_FONT_PT,
            color=curves[number].colour,
            path_effects=[matplotlib.patheffects.withStroke(linewidth=2.5, foreground="white")],
        )


def _places(
    across: NDArray[np.float64], y: NDArray[np.float64], width: float, height: float
) -> list[_Box]:
    """Boxes just above and just below a curve, all along it."""
    places = []
    for at in across[:: max(1, len(across) // 80)]:
        under = (across >= at - width / 2) & (across <= at + width / 2)
        span = y[under]
        for low in (float(span.max()) + _GAP_PT, float(span.min()) - _GAP_PT - height):
            places.append(_Box(at - width / 2, low, at + width / 2, low + height))
    return places


def _clutter(
    box: _Box,
    number: int,
    across: NDArray[np.float64],
    heights: Sequence[NDArray[np.float64]],
    lines: Sequence[float],
) -> float:
    """How bad a place is: what lies in it, how far its own curve is, how near others are."""
    wide = _Box(box.left - 7, box.low - 2, box.right + 7, box.high + 2)
    score = 4.0 * sum(wide.holds(across, y) for y in heights)
    score += 90.0 * sum(wide.left < at < wide.right for at in lines)
    middle = (box.low + box.high) / 2
    under = (across >= box.left) & (across <= box.right)
    gaps = [float(np.abs(y[under] - middle).min()) for y in heights]
    own = heights[number]
    score += gaps[number]
    others = [gap for other, gap in enumerate(gaps) if other != number]
    if others:
        nearest = min(others)
        score += 30.0 if nearest < gaps[number] else 0.0
        score += 150.0 / (nearest + 5.0)
    # A name is looked for where its curve stands out.
    return score + 30.0 * (1.0 - float(own[under].mean() / max(own.max(), 1e-9)))
