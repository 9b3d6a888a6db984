"""Cells of tables as people fill them, to numbers: decimal marks, units, limits of detection."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import NoReturn

from bathkin import tables
from bathkin.errors import DataError, RecipeError
from bathkin.headings import Heading
from bathkin.sheets import Assumption, Given
from bathkin.units import to_number, unit_of

_EMPTY = frozenset({"", "-", "na", "n/a", "nan", "none"})
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_BELOW = re.compile(r"[<\u2264]=?\s*(.+)")


def is_empty(cell: str) -> bool:
    """Whether nothing was measured."""
    return cell.lower() in _EMPTY


def is_bare(text: str) -> bool:
    """Whether a text is a number without a unit."""
    return _NUMBER.fullmatch(text) is not None


def decimal_mark(place: str, header: Sequence[str], rows: Sequence[Sequence[str]]) -> str | None:
    """The decimal mark of the cells, `,` or `.`; None where no cell has any.

    Raises:
        DataError: For a cell with both, two marks in one file, or commas that may part thousands.

    Example:
        >>> from bathkin.cells import decimal_mark
        >>> decimal_mark("runs.csv", ["x"], [["5,5"], ["7,04"]])
        ','
    """
    found: str | None = None
    doubtful: tuple[int, str, str] | None = None
    certain = False
    for number, row in enumerate(rows, start=1):
        for column, cell in zip(header, row, strict=True):
            marks = {mark for mark in ",." if mark in cell}
            text = _without_limit(cell)
            if isinstance(cell, Given) or not marks or not re.match(r"[+-]?[\d.,]", text):
                continue
            if len(marks) == 2 or cell.count(",") > 1:
                refuse(place, number, column, cell, "one decimal mark and no thousands mark")
            mark = marks.pop()
            if found not in (None, mark):
                refuse(place, number, column, cell, f"the decimal mark '{found}' of the rows above")
            found = mark
            if mark == "," and _THOUSANDS.fullmatch(text):
                doubtful = doubtful or (number, column, cell)
            else:
                certain = True
    if doubtful and not certain:
        number, column, cell = doubtful
        refuse(place, number, column, cell, "a decimal point: this comma may part thousands")
    return found


def assumed_mark(mark: str | None, rows: Sequence[Sequence[str]]) -> list[Assumption]:
    """The assumption of a decimal comma, with the first cell that has one."""
    if mark != ",":
        return []
    first = next(cell for row in rows for cell in row if "," in cell)
    taken = first.replace(",", ".")
    return [Assumption.of(None, "", first, taken, "decimal comma in the whole file")]


def numbers(
    place: str, head: Heading, cells: Sequence[str], mark: str | None, report: list[Assumption]
) -> tuple[list[float | None], list[float | None]]:
    """The numbers of a column in its unit, and the limits of detection that cells stay below.

    A cell such as `<0.05` in a column of readings has no number but a limit.

    Raises:
        DataError: For what is no number, or one that a bath cannot have.
    """
    values: list[float | None] = []
    limits: list[float | None] = []
    converted = False
    for row, cell in enumerate(cells, start=1):
        if is_empty(cell):
            values.append(None)
            limits.append(None)
            continue
        below = head.kind == "reading" and _BELOW.fullmatch(cell) is not None
        text = _without_limit(cell) if below else cell
        value, own_unit = _number(place, row, head, cell, text, mark)
        _check(place, row, head, cell, value)
        values.append(None if below else value)
        limits.append(value if below else None)
        taken = tables.number(value, 6)
        if own_unit:
            effect = f"the unit in the cell, converted to {head.name}"
            report.append(Assumption.of(row, head.text, cell, taken, effect))
        elif head.unit and not converted and value != float(text.replace(",", ".")):
            converted = True
            raw, effect = f"{cell} {head.unit}", f"converted to {head.name}"
            report.append(Assumption.of(None, head.text, raw, taken, effect))
        if below:
            effect = f"the limit is kept as below_{head.name}"
            report.append(Assumption.of(row, head.text, cell, "below detection", effect))
    return values, limits


def add_column(
    place: str,
    columns: dict[str, list[float | None]],
    head: Heading,
    values: list[float | None],
    limits: list[float | None],
) -> None:
    """Adds the numbers of a column, and its limits of detection where any cell has one.

    Raises:
        DataError: Where the table has a column of the name of the limits already.
    """
    columns[head.name] = values
    name = f"below_{head.name}"
    if all(limit is None for limit in limits):
        return
    if name in columns:
        message = f"{place}: limits of detection stand in {head.text} and in a column {name}"
        raise DataError(message, column=head.text)
    columns[name] = limits


def refuse(place: str, row: int, column: str, cell: str, expected: str) -> NoReturn:
    """Refuses a cell.

    Raises:
        DataError: Always, with row, column and raw text.
    """
    message = f"{place}: row {row}, {column} = {cell or '(empty)'}: expected {expected}"
    raise DataError(message, row=row, column=column, raw=cell)


def _without_limit(cell: str) -> str:
    below = _BELOW.fullmatch(cell)
    return below[1] if below else cell


def _number(
    place: str, row: int, head: Heading, cell: str, text: str, mark: str | None
) -> tuple[float, bool]:
    """The number of a cell in the unit of its column, and whether the cell named its own unit."""
    text = text.replace(",", ".") if mark == "," and re.match(r"[+-]?\d*,\d", text) else text
    bare = is_bare(text)
    try:
        if not bare and _NUMBER.match(text) is None:
            raise ValueError(text)
        if bare and head.unit is None:
            value = float(text)
        else:
            value = to_number(head.target, f"{text} {head.unit}" if bare else text, place)
        if not math.isfinite(value):
            raise ValueError(text)
        return value, not bare
    except (RecipeError, ValueError):
        measures = unit_of(head.target)
        expected = f"a number, {measures[1]}" if measures else "a number"
        refuse(place, row, head.text, cell, expected)


def _check(place: str, row: int, head: Heading, cell: str, value: float) -> None:
    """Refuses values that a bath cannot have; they mostly come from a column in another unit."""
    last = head.name.rsplit(".", 1)[-1]
    if last == "temperature_c" and not 0.0 <= value <= 105.0:
        hint = {"degC": "is the column in degF or K?", "K": "is the column in degC?"}
        why = hint.get(head.unit or "degC", "is the column in degC?")
        refuse(place, row, head.text, cell, f"the temperature of an aqueous bath: {why}")
    if last in {"ph", "ph_25c"} and not 0.0 <= value <= 14.0:
        refuse(place, row, head.text, cell, "a pH between 0 and 14: is it another column's value?")
