"""Pages as a file: HTML or PDF, by the ending of its name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from bathkin.core import files
from bathkin.reports.page import Page
from bathkin.reports.page_html import as_html
from bathkin.reports.page_pdf import as_pdf, check_typst


def check_report(path: Path | None) -> None:
    """Whether such a report can be written here.

    Raises:
        RecipeError: For a PDF without typst.
    """
    if path is not None and _is_pdf(path):
        check_typst()


def write_pages(path: Path, pages: Sequence[Page], *, keep: Iterable[Path] = ()) -> None:
    """Writes them.

    Raises:
        RecipeError: For a PDF without typst.
        OSError: When the file cannot be written, or is one to keep.
    """
    check_report(path)
    files.write(path, as_pdf(pages) if _is_pdf(path) else as_html(pages), keep=keep)


def _is_pdf(path: Path) -> bool:
    return path.suffix.lower() == ".pdf"
