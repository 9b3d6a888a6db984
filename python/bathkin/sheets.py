"""Tables as laboratories keep them: text to headings and rows, and what every table read has."""

from __future__ import annotations

import csv
import hashlib
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from bathkin import tables
from bathkin.errors import DataError
from bathkin.records import Record

if TYPE_CHECKING:
    import pandas as pd


class Assumption(Record):
    """Something the reader had to decide.

    Attributes:
        row: Row below the headings, counted from 1, or None for a whole column or file.
        column: Heading as written, or empty.
        raw: What stands in the file.
        taken: What was taken for it.
        effect: What that does.
    """

    _title = "Assumption"

    row: int | None
    column: str
    raw: str
    taken: str
    effect: str

    @classmethod
    def of(cls, row: int | None, column: str, raw: str, taken: str, effect: str) -> Assumption:
        """An assumption from its parts."""
        values = {"row": row, "column": column, "raw": raw, "taken": taken, "effect": effect}
        return cls(values)


def assumed_text(report: Sequence[Assumption]) -> str:
    """Assumptions as lines under a heading; empty where there are none."""
    lines = ["assumed"] if report else []
    for one in report:
        where = ", ".join(filter(None, [f"row {one.row}" if one.row else "", one.column]))
        text = f"- {where + ': ' if where else ''}'{one.raw}' taken as {one.taken}; {one.effect}"
        lines.append(tables.wrapped(text, 2, 4))
    return "\n".join(lines)


class Sheet:
    """Numbers by columns, and everything the reader assumed. Base of `Runs` and `Log`.

    Attributes:
        file: Where they come from.
        rows: Number of each row, counted from 1 below the headings.
        columns: Numbers by name; None where nothing was measured.
        notes: Columns of words by heading.
        report: Everything the reader assumed.
    """

    _noun = "rows"

    def __init__(
        self,
        file: str,
        rows: Sequence[int],
        columns: dict[str, list[float | None]],
        notes: dict[str, list[str]],
        report: Sequence[Assumption],
    ) -> None:
        self.file = file
        self.rows = list(rows)
        self.columns = columns
        self.notes = notes
        self.report = list(report)

    @property
    def digest(self) -> str:
        """The first 12 digits of a SHA-256 over names and numbers."""
        text = repr([(name, cells) for name, cells in self.columns.items()])
        return hashlib.sha256(text.encode()).hexdigest()[:12]

    def table(self) -> pd.DataFrame:
        """The numbers as a pandas table, rows by their number."""
        import pandas as pd

        index = pd.Index(self.rows, name="row")
        frame: pd.DataFrame = pd.DataFrame(self.columns, index=index, dtype=float)
        return frame

    def summary(self) -> str:
        """The columns with their spans, and what was assumed."""
        shown = []
        for name, cells in self.columns.items():
            known = [cell for cell in cells if cell is not None]
            span = f"{tables.number(min(known))} to {tables.number(max(known))}" if known else "-"
            shown.append((name, f"{span} ({len(known)} of {len(cells)})"))
        parts = [tables.card(self._headline(), shown), assumed_text(self.report)]
        return "\n".join(filter(None, parts))

    def _headline(self) -> str:
        return f"{self.file}: {len(self.rows)} {self._noun}"

    def __len__(self) -> int:
        return len(self.rows)

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Sheet)
            and type(other) is type(self)
            and self.columns == other.columns
            and self.rows == other.rows
        )

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.file, self.rows, self.columns, self.notes, self.report)

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        html: str = self.table().to_html()
        return html


class Given(str):
    """A cell that came as a number, so that its point is no decimal mark of the author's."""


def cells_of(
    source: str | os.PathLike[str] | pd.DataFrame,
) -> tuple[str, list[str], list[list[str]]]:
    """Where a table comes from, its headings, and its cells by rows.

    Raises:
        DataError: For a file that cannot be read, or is no table.
    """
    if isinstance(source, (str, os.PathLike)):
        file = Path(source)
        return str(file), *rows_of(str(file), _text(file))
    header = [str(name) for name in source.columns]
    values = source.to_numpy(dtype=object).tolist()
    return "table", header, [[_as_text(value) for value in row] for row in values]


def rows_of(place: str, text: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of a CSV text; lines that are empty or begin with # are left out.

    Raises:
        DataError: For a text without rows, or a row with more or fewer cells than headings.
    """
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    if len(lines) < 2:
        raise DataError(f"{place}: expected a line of column names and rows below it")
    separator = next((mark for mark in "\t;" if mark in lines[0]), ",")
    rows = [[cell.strip() for cell in row] for row in csv.reader(lines, delimiter=separator)]
    header = rows[0]
    for number, row in enumerate(rows[1:], start=1):
        if len(row) != len(header):
            hint = " (a decimal comma needs ; or tab between columns)" if separator == "," else ""
            raise DataError(
                f"{place}: row {number}: {len(row)} cells for {len(header)} columns{hint}",
                row=number,
                raw=separator.join(row),
            )
    return header, rows[1:]


def _as_text(value: object) -> str:
    import pandas as pd

    if pd.isna(value):  # type: ignore[call-overload]
        return ""
    if isinstance(value, (int, float, np.number)):
        return Given(repr(float(value)).removesuffix(".0"))
    return str(value).strip()


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise DataError(f"{path}: expected a text file in UTF-8") from error
    except OSError as error:
        raise DataError(f"{path}: cannot be read: {error.strerror}") from error
