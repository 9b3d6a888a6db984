"""Coupon runs: a table of settings and what was measured, read with every assumption listed."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from bathkin import tables
from bathkin.errors import DataError
from bathkin.records import Record
from bathkin.run_cells import (
    MEASURED,
    Given,
    Heading,
    cell_number,
    check,
    decimal_mark,
    heading,
    rows_of,
)

if TYPE_CHECKING:
    import pandas as pd

_EMPTY = frozenset({"", "-", "na", "n/a", "nan", "none"})


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


class Runs:
    """Coupon runs by columns. Made by `read_runs`.

    Attributes:
        file: Where they come from.
        rows: Number of each row, counted from 1 below the headings.
        columns: Numbers by name; None where nothing was measured.
        notes: Columns of words by heading.
        report: Everything the reader assumed.
    """

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
        lines = [tables.card(f"{self.file}: {len(self.rows)} runs", shown)]
        if self.report:
            lines.append("assumed")
        for one in self.report:
            where = ", ".join(filter(None, [f"row {one.row}" if one.row else "", one.column]))
            text = (
                f"- {where + ': ' if where else ''}'{one.raw}' taken as {one.taken}; {one.effect}"
            )
            lines.append(tables.wrapped(text, 2, 4))
        return "\n".join(lines)

    def __len__(self) -> int:
        return len(self.rows)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Runs) and self.columns == other.columns and self.rows == other.rows

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Runs, (self.file, self.rows, self.columns, self.notes, self.report)

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        html: str = self.table().to_html()
        return html


def read_runs(source: str | os.PathLike[str] | pd.DataFrame) -> Runs:
    """Reads coupon runs from a CSV file or a pandas table.

    Columns are parted by tab, semicolon or comma; decimals by point or comma, one of them in a
    file. A heading has its unit at its end or in brackets: `temperature_c`, `Time (h)`, `$T$ [K]`.
    Known are temperature, ph, time, area, one of mass gain, thickness and deposition rate, and
    sigma, the standard deviation of what was measured, in its unit. Any other column is a number
    of the recipe: a path (`tank.volume_l`), a name in `operation`, `make_up` or `tank`
    (`lactic_acid_g_l`), or a content (`nickel_g_l`, `hypophosphite_mol_l`). An empty cell was not
    measured. Rows count from 1 below the headings; empty lines and lines with # do not count.

    Args:
        source: Path of the file, or a table.

    Raises:
        DataError: For what cannot be read, with file, row, column and raw text. Nothing is mended
            silently: `report` of the result lists what was assumed.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> sheet = {"T [degF]": [176, 194], "pH": [4.8, 4.8], "rate (um/h)": ["12,1", "19,4"]}
        >>> runs = bk.read_runs(pd.DataFrame(sheet))
        >>> runs.columns["temperature_c"], runs.columns["deposition_um_h"]
        ([80.0, 90.0], [12.1, 19.4])
        >>> [one.effect for one in runs.report]
        ['decimal comma in the whole file', 'converted to temperature_c']
    """
    if isinstance(source, (str, os.PathLike)):
        file = Path(source)
        header, cells = rows_of(str(file), _text(file))
        return _read(str(file), header, cells)
    header = [str(name) for name in source.columns]
    values = source.to_numpy(dtype=object).tolist()
    return _read("table", header, [[_as_text(value) for value in row] for row in values])


def _as_text(value: object) -> str:
    if value is None or value != value:
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


def _read(place: str, header: list[str], cells: list[list[str]]) -> Runs:
    heads = [heading(place, text) for text in header]
    report: list[Assumption] = []

    def assume(row: int | None, column: str, raw: str, taken: str, effect: str) -> None:
        values = {"row": row, "column": column, "raw": raw, "taken": taken, "effect": effect}
        report.append(Assumption(values))

    numeric = [place for place, head in enumerate(heads) if head.name]
    _refuse_twice(place, [heads[at] for at in numeric])
    only = [[row[at] for at in numeric] for row in cells]
    mark = decimal_mark(place, [heads[at].text for at in numeric], only)
    if mark == ",":
        first = next(cell for row in only for cell in row if "," in cell)
        assume(None, "", first, first.replace(",", "."), "decimal comma in the whole file")
    heads = _sigma_like_what_was_measured(place, heads)
    columns: dict[str, list[float | None]] = {}
    notes: dict[str, list[str]] = {}
    for at, head in enumerate(heads):
        column = [row[at] for row in cells]
        if not head.name:
            notes[head.text] = column
            assume(None, head.text, head.text, "words", "not used in a fit")
            continue
        values: list[float | None] = []
        converted = False
        for row, cell in enumerate(column, start=1):
            if cell.lower() in _EMPTY:
                values.append(None)
                assume(row, head.text, cell, "empty", "not measured")
                continue
            value, own_unit = cell_number(place, row, head, cell, mark)
            check(place, row, head, cell, value)
            values.append(value)
            if own_unit:
                effect = f"the unit in the cell, converted to {head.name}"
                assume(row, head.text, cell, tables.number(value, 6), effect)
            elif head.unit and not converted and value != float(cell.replace(",", ".")):
                converted = True
                taken = tables.number(value, 6)
                assume(None, head.text, f"{cell} {head.unit}", taken, f"converted to {head.name}")
        columns[head.name] = values
    for row, other in _twins(columns, len(cells)):
        assume(row, "", f"row {row}", f"a replicate of row {other}", "every number is the same")
    return Runs(place, range(1, len(cells) + 1), columns, notes, report)


def _refuse_twice(place: str, heads: Sequence[Heading]) -> None:
    seen: dict[str, str] = {}
    for head in heads:
        if head.name in seen:
            message = f"{place}: the columns {seen[head.name]} and {head.text} are both {head.name}"
            raise DataError(message, column=head.text)
        seen[head.name] = head.text


def _sigma_like_what_was_measured(place: str, heads: Sequence[Heading]) -> list[Heading]:
    """Sigma is in the unit of what was measured, and converted with it."""
    measured = [head for head in heads if head.name in MEASURED]
    if not any(head.name == "sigma" for head in heads):
        return list(heads)
    if len(measured) != 1:
        raise DataError(f"{place}: sigma needs one measured column, not {len(measured)}")
    like = measured[0]
    return [
        Heading(head.text, "sigma", head.unit or like.unit, like.name)
        if head.name == "sigma"
        else head
        for head in heads
    ]


def _twins(columns: dict[str, list[float | None]], count: int) -> list[tuple[int, int]]:
    """Rows that equal an earlier one in every number."""
    seen: dict[tuple[float | None, ...], int] = {}
    found = []
    for place in range(count):
        key = tuple(cells[place] for cells in columns.values())
        if key in seen:
            found.append((place + 1, seen[key]))
        seen.setdefault(key, place + 1)
    return found
