"""Tables as laboratories keep them: text to headings and rows, and what every table read has."""

from __future__ import annotations

import csv
import hashlib
import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias, Union

import numpy as np

from bathkin import tables
from bathkin.errors import DataError
from bathkin.records import Record

if TYPE_CHECKING:
    import pandas as pd

# What tables are read from.
Source: TypeAlias = Union[str, "os.PathLike[str]", "pd.DataFrame"]
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?([eE][+-]?\d+)?")


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


def cells_of(source: Source) -> tuple[str, list[str], list[list[str]], list[Assumption]]:
    """Where a table comes from, its headings, its cells by rows, and what was left out.

    An index of a pandas table that has a name is a column.

    Raises:
        DataError: For a file that cannot be read, or is no table.
    """
    if isinstance(source, (str, os.PathLike)):
        file = Path(source)
        return str(file), *rows_of(str(file), _text(file))
    if not hasattr(source, "columns") or not hasattr(source, "index"):
        kind = type(source).__name__
        raise DataError(f"expected the path of a CSV file or a pandas table, not {kind}")
    frame = _with_named_index(source)
    # What pandas calls a column whose heading is empty.
    header = [re.sub(r"^Unnamed: \d+$", "", str(name)) for name in frame.columns]
    values = frame.to_numpy(dtype=object).tolist()
    return "table", *_filled("table", header, [[_as_text(cell) for cell in row] for row in values])


def rows_of(place: str, text: str) -> tuple[list[str], list[list[str]], list[Assumption]]:
    """Headings and rows of a CSV text, and what was left out of it.

    A line that begins with # is a remark, unless it has as many cells as the headings below which
    it stands. Empty lines do not count.

    Raises:
        DataError: For a text without rows, a row with more or fewer cells than headings, a quote
            that is not closed.
    """
    lines = text.splitlines(keepends=True)
    told = re.fullmatch(r'"?sep=(.)"?\s*', lines[0]) if lines else None
    lines = lines[1:] if told else lines
    heading = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    separator = told[1] if told else next((mark for mark in "\t;" if mark in heading), ",")
    header: list[str] = []
    rows: list[list[str]] = []
    report = []
    reader = csv.reader(lines, delimiter=separator, strict=True)
    try:
        for read in reader:
            cells = [cell.strip() for cell in read]
            remark = cells[:1] and cells[0].startswith("#") and len(cells) != len(header)
            if not any(cells) or (remark and not header):
                continue
            if remark:
                effect = f"left out below row {len(rows)}"
                report.append(Assumption.of(None, "", separator.join(read), "a remark", effect))
            elif not header:
                header = cells
            else:
                _check_count(place, len(rows) + 1, cells, header, separator)
                rows.append(cells)
    except csv.Error as error:
        raise DataError(
            f"{place}: row {len(rows) + 1}: cannot be read: {error}: is a quote not closed?",
            row=len(rows) + 1,
        ) from error
    if not rows:
        raise DataError(f"{place}: expected a line of column names and rows below it")
    if any(_NUMBER.fullmatch(cell) for cell in header):
        number = next(cell for cell in header if _NUMBER.fullmatch(cell))
        expected = "expected a line of column names, which does not begin with #"
        raise DataError(f"{place}: a column is called {number}: {expected}", column=number)
    header, rows, blank = _filled(place, header, rows)
    return header, rows, [*report, *blank]


def _check_count(
    place: str, number: int, cells: Sequence[str], header: Sequence[str], separator: str
) -> None:
    if len(cells) == len(header):
        return
    hint = " (a decimal comma needs ; or tab between columns)" if separator == "," else ""
    message = f"{place}: row {number}: {len(cells)} cells for {len(header)} columns{hint}"
    raise DataError(message, row=number, raw=separator.join(cells))


def _filled(
    place: str, header: list[str], rows: list[list[str]]
) -> tuple[list[str], list[list[str]], list[Assumption]]:
    """The table without columns that have neither heading nor cells.

    Raises:
        DataError: For cells below no heading, or a table without rows.
    """
    if not rows:
        raise DataError(f"{place}: there are no rows")
    nameless = [at for at, text in enumerate(header) if not text]
    for at in nameless:
        for row, cells in enumerate(rows, start=1):
            if cells[at]:
                expected = "expected a name (such as note, for words) in the line of headings"
                if len(nameless) > 1:
                    expected += f": is '{next(filter(None, header), '')}' a title above it?"
                message = f"{place}: row {row}, column {at + 1} = {cells[at]}: it has no heading"
                raise DataError(f"{message}: {expected}", row=row, raw=cells[at])
    if not nameless:
        return header, rows, []
    kept = [at for at, text in enumerate(header) if text]
    numbers = ", ".join(str(at + 1) for at in nameless)
    gone = Assumption.of(
        None,
        f"column{'s' * (len(nameless) > 1)} {numbers}",
        "",
        "empty",
        "left out: no heading, no cells",
    )
    return [header[at] for at in kept], [[row[at] for at in kept] for row in rows], [gone]


def _with_named_index(frame: pd.DataFrame) -> pd.DataFrame:
    names = [name for name in frame.index.names if name is not None]
    twice = next((name for name in names if name in frame.columns), None)
    if twice is not None:
        message = f"table: the index and a column are both called {twice}: leave one out"
        raise DataError(message, column=str(twice))
    return frame.reset_index(level=names) if names else frame


def _as_text(value: object) -> str:
    import pandas as pd

    if pd.api.types.is_scalar(value) and pd.isna(value):  # type: ignore[call-overload]
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
    except ValueError as error:
        raise DataError(f"{str(path)!r}: that is no name of a file") from error
