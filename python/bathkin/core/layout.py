"""Plain text tables and cards, at most 100 columns wide."""

from __future__ import annotations

import html
import math
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

WIDTH = 100
# Decimals that the smallest number of a column may add.
_MORE_DECIMALS = 3


def number(value: float | None, digits: int = 4) -> str:
    """A number with a few significant digits; '-' when there is none."""
    if value is None or not math.isfinite(value):
        return "-"
    if isinstance(value, (bool, int)):
        return str(value)
    if value == 0.0:
        return "0"
    if not 1e-4 <= abs(value) < 1e6:
        return f"{value:.{digits - 1}e}"
    text = f"{value:.{digits}g}"
    return text if "e" not in text else f"{value:.0f}"


def aligned(values: Sequence[float | None], digits: int = 4) -> list[str]:
    """Numbers with the same count of decimals.

    They show as many digits of the largest as asked for, and one fewer of the smallest; where that
    makes too many decimals, each number has its own.

    Example:
        >>> from bathkin.core.layout import aligned
        >>> aligned([16.76, 9.513], 3), aligned([216.0, 2.13], 3), aligned([9291.0, 0.0132])
        (['16.8', '9.5'], ['216.0', '2.1'], ['9291', '0.0132'])
    """
    finite = [abs(value) for value in values if value is not None and math.isfinite(value)]
    largest = max(finite, default=0.0)
    if largest == 0.0:
        return [number(value) for value in values]
    smallest = min(value for value in [*finite, largest] if value > 0.0)
    if largest >= 1e6 or largest < 1e-3 or smallest < largest * 1e-5:
        return [number(value, min(digits, 3)) for value in values]
    decimals = max(0, digits - 1 - math.floor(math.log10(largest)))
    if all(float(value).is_integer() for value in finite):
        decimals = 0
    else:
        needed = digits - 2 - math.floor(math.log10(smallest))
        if needed > decimals + _MORE_DECIMALS:
            return [number(value, digits) for value in values]
        decimals = max(decimals, needed)
    return [
        "-" if value is None or not math.isfinite(value) else f"{value:.{decimals}f}"
        for value in values
    ]


@dataclass(frozen=True)
class Column:
    """A column of text.

    Attributes:
        header: Heading; line breaks make it several lines high.
        cells: One text per row.
        left: Whether cells are flush left (numbers are flush right).
    """

    header: str
    cells: Sequence[str]
    left: bool = False

    @property
    def width(self) -> int:
        """Characters needed."""
        return max(map(len, [*self.header.split("\n"), *self.cells, ""]))

    def placed(self, text: str) -> str:
        """A text at the column's width."""
        return text.ljust(self.width) if self.left else text.rjust(self.width)


def render(columns: Sequence[Column], indent: int = 0) -> str:
    """A table with headings, a rule and rows, at most 100 wide.

    Columns that do not fit are left out, the last first, and named below it.
    """
    kept = list(columns)
    for gap in (2, 1):
        if _total(kept, gap) + indent <= WIDTH:
            break
    hidden: list[Column] = []
    while len(kept) > 1 and _total(kept, gap) + indent > WIDTH:
        hidden.insert(0, kept.pop())
    height = max(column.header.count("\n") + 1 for column in kept)
    lines = []
    for level in range(height):
        texts = []
        for column in kept:
            heading = column.header.split("\n")
            heading = [""] * (height - len(heading)) + heading
            texts.append(column.placed(heading[level]))
        lines.append(texts)
    lines.append(["-" * column.width for column in kept])
    lines.extend(
        [column.placed(text) for column, text in zip(kept, row, strict=True)]
        for row in zip(*(column.cells for column in kept), strict=True)
    )
    margin = " " * indent
    text = "\n".join((margin + (" " * gap).join(line)).rstrip() for line in lines)
    if not hidden:
        return text
    names = ", ".join(" ".join(column.header.split()) for column in hidden)
    return f"{text}\n{wrapped(f'not shown, for {WIDTH} characters a line: {names}', indent)}"


def _total(columns: Sequence[Column], gap: int) -> int:
    return sum(column.width + gap for column in columns) - gap


def wrapped(text: str, indent: int = 0, hanging: int | None = None) -> str:
    """A text broken into lines of at most 100."""
    later = indent if hanging is None else hanging
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * later,
        break_long_words=False,
        break_on_hyphens=False,
    )


def remarks(said: Iterable[object]) -> str:
    """Remarks, a line each."""
    return "\n".join(wrapped(f"! {one}", 0, 2) for one in said)


def pairs(rows: Sequence[tuple[str, str]], indent: int = 2) -> str:
    """Names flush left, texts beside them, long texts broken."""
    width = max((len(name) for name, _ in rows), default=0)
    return "\n".join(
        wrapped(f"{' ' * indent}{name.ljust(width)}  {text}", 0, indent + width + 2).rstrip()
        for name, text in rows
    )


def card(title: str, rows: Sequence[tuple[str, str]]) -> str:
    """A title with its pairs below it."""
    return f"{title}\n{pairs(rows)}" if rows else title


def html_card(title: str, rows: Sequence[tuple[str, str]]) -> str:
    """The same card as an HTML table."""
    body = "".join(
        f"<tr><th style='text-align:left'>{html.escape(name)}</th>"
        f"<td style='text-align:left'>{html.escape(text)}</td></tr>"
        for name, text in rows
    )
    return f"<table><caption><b>{html.escape(title)}</b></caption>{body}</table>"


def html_text(text: str) -> str:
    """A text that keeps its columns, as HTML."""
    return f"<pre>{html.escape(text)}</pre>"


def spoken(name: str) -> str:
    """A name of the core as words: `nickel_lactate_1` becomes `nickel lactate 1`."""
    return name.replace("_", " ")
