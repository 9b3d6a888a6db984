"""Vertical reference lines across a picture, named above it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Any, NamedTuple

from matplotlib.textpath import TextPath

_FONT_PT = 8.0
_ROW_PT = 11.0
_GAP_PT = 4.0


class ReferenceLine(NamedTuple):
    """A vertical line at an abscissa, with its name."""

    x: float
    text: str
    colour: str
    style: str


class _Name(NamedTuple):
    """Where a name stands, in points from the left of the axes and rows above them."""

    left: float
    right: float
    row: int
    on_left: bool


def draw_reference_lines(
    axes: Any, lines: Sequence[ReferenceLine], below: Sequence[Any] = (), start: float = 0.0
) -> list[float]:
    """Draws the lines that are in the picture, each named above the axes where it meets no other.

    Args:
        axes: Axes with their limits set; the names stand above them.
        lines: The lines.
        below: More axes with the same abscissa, which the lines run through as well.
        start: Height in the axes at which the lines begin, 0 to 1.

    Returns:
        The abscissae that were drawn.
    """
    axes.figure.draw_without_rendering()
    window = axes.get_window_extent()
    scale = 72.0 / axes.figure.dpi
    (left, right), width = axes.get_xlim(), window.width * scale
    shown = sorted((mark for mark in lines if left <= mark.x <= right), key=lambda mark: mark.x)
    at = [(mark.x - left) / (right - left) * width for mark in shown]
    taken: list[_Name] = []
    for number, mark in enumerate(shown):
        # Drawn text is a little wider than its outline.
        size = 1.04 * TextPath((0, 0), mark.text, size=_FONT_PT).get_extents().width
        taken.append(_place(number, size, at, width, taken))
    for mark, name in zip(shown, taken, strict=True):
        line = {"color": mark.colour, "linewidth": 1.0, "linestyle": mark.style}
        top = 1.0 + name.row * _ROW_PT / (window.height * scale)
        axes.plot(
            [mark.x, mark.x],
            [start, top],
            transform=axes.get_xaxis_transform(),
            clip_on=False,
            **line,
        )
        for other in below:
            other.axvline(mark.x, **line)
        axes.annotate(
            mark.text,
            (mark.x, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(-_GAP_PT if name.on_left else _GAP_PT, 2 + name.row * _ROW_PT),
            textcoords="offset points",
            fontsize=_FONT_PT,
            color=mark.colour,
            ha="right" if name.on_left else "left",
            va="bottom",
        )
    return [mark.x for mark in shown]


def _place(
    number: int, size: float, at: Sequence[float], width: float, taken: Sequence[_Name]
) -> _Name:
    """The lowest row beside a mark where its name lies on no other name and no other mark."""
    x = at[number]
    # First where there is more room to the next mark or the edge.
    roomy_left = x - max([0.0, *at[:number]]) > min([width, *at[number + 1 :]]) - x
    for row, on_left in product(range(2 * len(at) + 1), (roomy_left, not roomy_left)):
        left, right = (
            (x - _GAP_PT - size, x - _GAP_PT) if on_left else (x + _GAP_PT, x + _GAP_PT + size)
        )
        name = _Name(left, right, row, on_left)
        # A mark that is not yet named may rise through any row, unless rows run out.
        crossed = any(
            left < other < right and (taken[place].row >= row if place < number else row < len(at))
            for place, other in enumerate(at)
            if place != number
        )
        risen = any(other.left < x < other.right and other.row <= row for other in taken)
        overlaps = any(
            other.row == row and left - _GAP_PT < other.right and other.left < right + _GAP_PT
            for other in taken
        )
        outside = left < 0.0 or right > width
        if not (crossed or risen or overlaps or outside):
            break
    return name
