"""Tables as laboratories keep them: text to headings and rows, and what every table read has."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias, Union

import numpy as np

from bathkin import _core
from bathkin.core import layout
from bathkin.core.result import Result
from bathkin.errors import DataError

if TYPE_CHECKING:
    import pandas as pd
    from typing_extensions import Self

# What tables are read from.
Source: TypeAlias = Union[str, "os.PathLike[str]", "pd.DataFrame"]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Assumption(Result):
    """Something the reader had to decide.

    Attributes:
        row: Row below the headings, counted from 1, or None for a whole column or file.
        column: Heading as written, or empty.
        raw: What stands in the file.
        taken: What was taken for it.
        effect: What that does.
    """

    row: int | None
    column: str
    raw: str
    taken: str
    effect: str


def assumed_text(report: Sequence[Assumption]) -> str:
    """Assumptions as lines under a heading; empty where there are none."""
    lines = ["assumed"] if report else []
    for one in report:
        where = ", ".join(filter(None, [f"row {one.row}" if one.row else "", one.column]))
        text = f"- {where + ': ' if where else ''}'{one.raw}' taken as {one.taken}; {one.effect}"
        lines.append(layout.wrapped(text, 2, 4))
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

    def drop(self, *which: int | str) -> Self:
        """The same without some rows, by number, or columns, by name.

        Raises:
            DataError: For a row or column that is not there.

        Example:
            >>> import bathkin as bk, pandas as pd
            >>> sheet = {"temperature_c": [80, None, 90], "deposition_um_h": [12, 14, 19]}
            >>> bk.read_runs(pd.DataFrame(sheet)).drop(2).columns["temperature_c"]
            [80.0, 90.0]
        """
        for one in which:
            there: Sequence[object] = [*self.columns, *self.notes]
            there = there if isinstance(one, str) else self.rows
            if one not in there:
                kind = "column" if isinstance(one, str) else "row"
                listed = ", ".join(map(str, there[:12]))
                raise DataError(f"{self.file}: no {kind} {one} to drop: it has {listed}")
        kept = [at for at, row in enumerate(self.rows) if row not in which]
        told = [
            Assumption(None, one, one, "left out", "dropped as asked")
            if isinstance(one, str)
            else Assumption(one, "", f"row {one}", "left out", "dropped as asked")
            for one in which
        ]
        made, (file, rows, columns, notes, report, *more) = self.__reduce__()
        of = {name: [cells[at] for at in kept] for name, cells in columns.items()}
        words = {name: [cells[at] for at in kept] for name, cells in notes.items()}
        sheet: Self = made(
            file,
            [rows[at] for at in kept],
            {name: cells for name, cells in of.items() if name not in which},
            {name: cells for name, cells in words.items() if name not in which},
            [*report, *told],
            *more,
        )
        return sheet

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
            span = f"{layout.number(min(known))} to {layout.number(max(known))}" if known else "-"
            shown.append((name, f"{span} ({len(known)} of {len(cells)})"))
        parts = [layout.card(self._headline(), shown), assumed_text(self.report)]
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
    source: Source, sheet: str | None = None
) -> tuple[str, list[str], list[list[str]], list[Assumption]]:
    """Where a table comes from, its headings, its cells by rows, and what was assumed of it.

    A file is comma, semicolon or tab separated text in UTF-8, UTF-16 or Windows-1252, or a workbook
    (xlsx, xls, ods), of which the sheet of that name, or else the first one that holds anything, is
    read. An index of a pandas table that has a name is a column.

    Raises:
        DataError: For a file that cannot be read, or is no table.
    """
    if isinstance(source, (str, os.PathLike)):
        place = os.fspath(source)
        if "\0" in place:
            raise DataError(f"{place!r}: that is no name of a file")
        header, rows, told = _core.read_table(place, sheet)
    elif not hasattr(source, "columns") or not hasattr(source, "index"):
        kind = type(source).__name__
        expected = "the path of a CSV file or a workbook, or a pandas table"
        raise DataError(f"expected {expected}, not {kind}")
    else:
        place = "table"
        frame = _with_named_index(source)
        # What pandas calls a column whose heading is empty.
        names = [re.sub(r"^Unnamed: \d+$", "", str(name)) for name in frame.columns]
        values = frame.to_numpy(dtype=object).tolist()
        texts = [[_as_text(cell) for cell in row] for row in values]
        header, rows, told = _core.table_of_cells(place, names, paired(texts))
    cells = [[Given(text) if given else text for text, given in row] for row in rows]
    return place, header, cells, [Assumption(*one) for one in told]


def paired(rows: Sequence[Sequence[str]]) -> list[list[tuple[str, bool]]]:
    """Cells as the core takes them: each with whether it came as a number."""
    return [[(cell, isinstance(cell, Given)) for cell in row] for row in rows]


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
