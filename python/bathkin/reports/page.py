"""Pages to hang on a wall or hand out, before they become HTML or PDF."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Words:
    """A paragraph.

    Attributes:
        text: What it says.
        kind: `plain`, `strong`, `alarm` or `small`.
    """

    text: str
    kind: str = "plain"


@dataclass(frozen=True)
class Items:
    """A list under a heading.

    Attributes:
        title: The heading.
        items: A text each.
        kind: `plain` or `alarm`.
    """

    title: str
    items: Sequence[str]
    kind: str = "plain"


@dataclass(frozen=True)
class Grid:
    """A table under a heading.

    Attributes:
        title: The heading.
        head: Headings of the columns.
        rows: Texts; an empty one under a heading that asks for something is room to write.
        left: Columns that are flush left, by number; the others are numbers.
        to_write: Columns with room to write, by number.
    """

    title: str
    head: Sequence[str]
    rows: Sequence[Sequence[str]]
    left: Sequence[int] = (0,)
    to_write: Sequence[int] = ()


@dataclass(frozen=True)
class Image:
    """A picture.

    Attributes:
        alt: What it shows, for who cannot see it.
        svg: Its content.
    """

    alt: str
    svg: bytes


@dataclass(frozen=True)
class Sign:
    """Room to sign.

    Attributes:
        labels: What each line is for.
    """

    labels: Sequence[str]


Block: TypeAlias = Words | Items | Grid | Image | Sign


@dataclass(frozen=True)
class Page:
    """A page.

    Attributes:
        title: Its headline.
        subtitle: A line below it.
        blocks: What stands on it, from the top.
        date: The day and time that it tells of, `2026-03-02 06:00`; None without dates.
    """

    title: str
    subtitle: str
    blocks: Sequence[Block] = field(default_factory=list)
    date: str | None = None


def image(alt: str, figure: Figure) -> Image:
    """A picture as SVG, the same bytes for the same numbers."""
    import matplotlib as mpl

    buffer = io.BytesIO()
    with mpl.rc_context({"svg.hashsalt": "bathkin", "svg.fonttype": "path"}):
        figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None})
    return Image(alt, buffer.getvalue())
