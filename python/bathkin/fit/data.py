"""What a fit learns from: runs and logs, however they were handed over."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias, Union

from bathkin.core.numbers import is_one, shown
from bathkin.errors import DataError
from bathkin.tables.logs import Log
from bathkin.tables.runs import Runs, read_runs

if TYPE_CHECKING:
    import pandas as pd

Sheets: TypeAlias = "list[Runs | Log]"
Readable: TypeAlias = Union[Runs, Log, str, "os.PathLike[str]", "pd.DataFrame"]
# Kind, file, numbers of the rows, columns, columns of words, when a log begins in seconds, what its
# reader doubts.
Given: TypeAlias = tuple[
    str,
    str,
    list[int],
    list[tuple[str, list[float | None]]],
    list[tuple[str, list[str]]],
    "float | None",
    list[str],
]


def sheets_of(data: Readable | Iterable[Readable]) -> Sheets:
    """Runs and logs as a list; a path or a table is read as runs.

    Raises:
        DataError: For runs that cannot be read, or nothing at all.
    """
    single = isinstance(data, (Runs, Log, str, os.PathLike, Mapping)) or hasattr(data, "columns")
    if not single and is_one(data):
        raise DataError(f"data = {shown(data)}: expected runs, logs, or a list of them")
    given = [data] if single else list(data)  # type: ignore[arg-type]
    read = [one if isinstance(one, (Runs, Log)) else read_runs(one) for one in given]  # type: ignore[arg-type]
    if not read:
        raise DataError("no data: give runs, or logs as read_log returns them")
    return read


def names_of(sheets: Sheets) -> list[str]:
    """Short names that distinguish sheets: of the file, with its folder or a number where need be.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> runs = bk.read_runs(pd.DataFrame({"temperature_c": [80], "deposition_um_h": [12]}))
        >>> from bathkin.fit.data import names_of
        >>> names_of([runs, runs])
        ['table', 'table 2']
    """
    short = [Path(sheet.file).name for sheet in sheets]
    often = Counter(short)
    names: list[str] = []
    for name, sheet in zip(short, sheets, strict=True):
        plain = name if often[name] == 1 else sheet.file
        number = sum(known == plain or known.startswith(f"{plain} ") for known in names)
        names.append(f"{plain} {number + 1}" if number else plain)
    return names


def assumptions(sheets: Sheets) -> list[dict[str, Any]]:
    """Everything that was assumed of the sheets, with their files."""
    return [{"file": sheet.file, **one.to_dict()} for sheet in sheets for one in sheet.report]


def given(sheets: Sheets) -> list[Given]:
    """Sheets as the core takes them; words of runs are labels that may group numbers."""
    return [
        (
            "log" if isinstance(sheet, Log) else "runs",
            name,
            sheet.rows,
            list(sheet.columns.items()),
            list(sheet.notes.items()),
            sheet.start_s if isinstance(sheet, Log) else None,
            sheet.doubts if isinstance(sheet, Log) else [],
        )
        for sheet, name in zip(sheets, names_of(sheets), strict=True)
    ]
