"""Pieces of generated pages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path


def cell(value: object) -> str:
    """A value as text of a table cell, with what Markdown would read as its own kept as it is."""
    text = "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
    for mark in ("\\", "|", "*", "_", "<", ">", "[", "]", "`", "$", "~"):
        text = text.replace(mark, "\\" + mark)
    return " ".join(text.split())


def code(value: object) -> str:
    """A name as code, or nothing."""
    return f"`{value}`" if value not in (None, "") else ""


def table(headings: Sequence[str], rows: Iterable[Sequence[str]], filtered: bool = False) -> str:
    """A table of cells that are Markdown already; a long one with a box that filters its rows."""
    line = "| " + " | ".join(headings) + " |\n"
    line += "| " + " | ".join("---" for _ in headings) + " |\n"
    body = line + "".join("| " + " | ".join(row) + " |\n" for row in rows)
    return f"```{{table}}\n:class: {'stacked filtered' if filtered else 'stacked'}\n\n{body}```\n\n"


def saved(path: Path, text: str) -> None:
    """Writes a page when it is new: pages that stay as they are need not be read again."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists() or path.read_text(encoding="utf-8") != text:
        path.write_text(text, encoding="utf-8")
