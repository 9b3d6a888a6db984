"""Pages as PDF by typst, which the extra `report` brings."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from importlib import resources
from pathlib import Path
from typing import Any

from bathkin import _core
from bathkin.errors import RecipeError
from bathkin.reports.page import Block, Grid, Image, Items, Page, Sign

_TEMPLATE = "page.typ"


def check_typst() -> None:
    """Whether PDF can be written.

    Raises:
        RecipeError: Without typst, with the line that brings it.
    """
    try:
        import typst  # noqa: F401
    except ImportError:
        how = 'pip install "bathkin[report]"'
        message = f"a PDF report needs typst, which is not installed: {how}; or write .html"
        raise RecipeError(message) from None


def as_pdf(pages: Sequence[Page]) -> bytes:
    """The file: the same bytes for the same pages, on every machine."""
    import matplotlib
    import typst

    pictures: dict[str, bytes] = {}
    data = {
        "title": "; ".join(page.title for page in pages),
        "date": _moment(pages),
        "foot": f"bathkin {_core.VERSION}: estimate for planning, never a safety limit: analyse",
        "pages": [
            {
                "title": page.title,
                "subtitle": page.subtitle,
                "blocks": [_block(block, pictures) for block in page.blocks],
            }
            for page in pages
        ],
    }
    template = resources.files("bathkin.reports").joinpath(_TEMPLATE).read_bytes()
    sources = {"main.typ": template, "pages.json": json.dumps(data).encode(), **pictures}
    # The fonts of matplotlib, so that a page is the same everywhere.
    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    typesetting: Any = typst.compile_with_warnings
    asked: dict[str, Any] = {"font_paths": [str(fonts)], "ignore_system_fonts": True}
    if data["date"] is not None:
        # Kept for years, and read aloud: PDF/A-2a wants a date.
        asked["pdf_standards"] = "a-2a"
    found, warnings = typesetting(sources, format="pdf", **asked)
    if warnings:
        raise RuntimeError(f"{_TEMPLATE}: {warnings[0].message}")
    content: bytes = found
    return content


def _moment(pages: Sequence[Page]) -> list[int] | None:
    """Of the latest page; its day and time, not those of the clock, keep the bytes equal."""
    dates = [page.date for page in pages if page.date]
    return [int(part) for part in re.findall(r"\d+", max(dates))[:5]] if dates else None


def _block(block: Block, pictures: dict[str, bytes]) -> dict[str, Any]:
    if isinstance(block, Items):
        alarm = block.kind == "alarm"
        return {"kind": "items", "title": block.title, "items": block.items, "alarm": alarm}
    if isinstance(block, Grid):
        each = {name: list(getattr(block, name)) for name in ("head", "left", "to_write")}
        rows = [list(row) for row in block.rows]
        return {"kind": "grid", "title": block.title, "rows": rows, **each}
    if isinstance(block, Image):
        file = f"picture-{len(pictures) + 1}.svg"
        pictures[file] = block.svg
        return {"kind": "image", "file": file, "alt": block.alt}
    if isinstance(block, Sign):
        return {"kind": "sign", "labels": list(block.labels)}
    return {"kind": block.kind, "text": block.text}
