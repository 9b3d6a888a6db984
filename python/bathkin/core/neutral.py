"""Texts of a table as a spreadsheet may open them: none of them becomes a formula."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

_FORMULA = ("=", "+", "-", "@", "\t", "\n")
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")


def neutral(text: str) -> str:
    """A text, behind an apostrophe where a spreadsheet would run it; numbers stay as they are.

    A carriage return, which would end the row, is a blank.

    Example:
        >>> from bathkin.core.neutral import neutral
        >>> neutral("=1+2"), neutral("-0.5"), neutral("rack 7")
        ("'=1+2", '-0.5', 'rack 7')
    """
    line = text.replace("\r", " ")
    return f"'{line}" if line.startswith(_FORMULA) and not _NUMBER.fullmatch(line) else line


def neutral_table(table: pd.DataFrame) -> pd.DataFrame:
    """A table whose texts, headings and row names are neutral."""

    def of(cell: object) -> object:
        return neutral(cell) if isinstance(cell, str) else cell

    found: pd.DataFrame = table.copy()
    for at, kind in enumerate(table.dtypes):
        if kind.name in {"object", "str", "string"}:
            found.isetitem(at, [of(cell) for cell in table.iloc[:, at]])
    found.columns = found.columns.map(of)
    found.index = found.index.map(of)
    return found
