"""Cells of tables as people fill them, to numbers: decimal marks, units, limits of detection."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import NoReturn

from bathkin import _core
from bathkin.core import layout
from bathkin.core.units import to_number, unit_of
from bathkin.errors import DataError, RecipeError
from bathkin.tables.headings import Heading
from bathkin.tables.problems import Problems
from bathkin.tables.sheets import Assumption, paired

# Units of which a bath, a rack or a coupon may have thousands.
_THOUSANDS = frozenset(
    {"s", "min", "h", "mm2", "cm2", "dm2", "dm**2", "cm**2", "in2", "mL", "L", "gal", "quart"}
    | {"mg", "ug", "mg/L", "mmol/L", "nm", "nm/min"}
)

# How laboratories write that a reading is below their limit of detection without saying which.
_NOT_DETECTED = re.compile(
    r"(?i)n\.?\s?d\.?|not detected|b\.?d\.?l?\.?|(?:<|below)\s*(?:lod|mdl|loq|dl|det\w*.*)"
)


def is_empty(cell: str) -> bool:
    """Whether nothing was measured."""
    return _core.is_empty_cell(cell)


def is_bare(text: str) -> bool:
    """Whether a text is a number without a unit."""
    return _core.plain_number(text) is not None


def decimal_mark(
    place: str, heads: Sequence[Heading], rows: Sequence[Sequence[str]], report: list[Assumption]
) -> str | None:
    """The decimal mark of the cells, `,` or `.`; None where no cell has any.

    A decimal comma is told in the report.

    Raises:
        DataError: For a cell with both, two marks in one file, or marks that may part thousands.

    Example:
        >>> from bathkin.tables.cells import decimal_mark
        >>> from bathkin.tables.headings import Heading
        >>> decimal_mark("runs.csv", [Heading("ph", "ph", None)], [["5,5"], ["7,04"]], [])
        ','
    """
    columns = [(head.text, allows_thousands(head)) for head in heads]
    mark, told = _core.decimal_mark(place, columns, paired(rows))
    if told is not None:
        report.append(Assumption(*told))
    return mark


def allows_thousands(head: Heading) -> bool:
    """Whether a bath or a bench has thousands of the unit: 1.234 g is no 1234 g, 1.234 mL may be.

    Example:
        >>> from bathkin.tables.cells import allows_thousands
        >>> from bathkin.tables.headings import Heading
        >>> allows_thousands(Heading("mass (g)", "mass_gain_mg", "g", kind="reading"))
        False
    """
    measures = unit_of(head.target)
    return (head.unit or (measures[0] if measures else "")) in _THOUSANDS


def numbers(
    head: Heading,
    cells: Sequence[str],
    mark: str | None,
    report: list[Assumption],
    problems: Problems,
) -> tuple[list[float | None], list[float | None]]:
    """The numbers of a column in its unit, and the limits of detection that cells stay below.

    A cell such as `<0.05` in a column of readings has no number but a limit. What is no number, or
    one that a bath cannot have, is a problem and counts as empty.
    """
    place = problems.place
    values: list[float | None] = []
    limits: list[float | None] = []
    converted = False
    for row, cell in enumerate(cells, start=1):
        if is_empty(cell):
            values.append(None)
            limits.append(None)
            continue
        text = _core.without_limit(cell) if head.kind == "reading" else cell
        below = text != cell
        number: tuple[float, bool] | None = None
        with problems.gathered():
            read = _number(place, row, head, cell, text, mark)
            _check(place, row, head, cell, read[0])
            number = read
        if number is None:
            values.append(None)
            limits.append(None)
            continue
        value, own_unit = number
        values.append(None if below else value)
        limits.append(value if below else None)
        taken = layout.number(value, 6)
        if own_unit:
            effect = f"the unit in the cell, converted to {head.name}"
            report.append(Assumption(row, head.text, cell, taken, effect))
        elif head.unit and not converted and value != _core.plain_number(text, mark):
            converted = True
            raw, effect = f"{cell} {head.unit}", f"converted to {head.name}"
            report.append(Assumption(None, head.text, raw, taken, effect))
        if below:
            effect = f"the limit is kept as below_{head.name}"
            report.append(Assumption(row, head.text, cell, "below detection", effect))
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


def _number(
    place: str, row: int, head: Heading, cell: str, text: str, mark: str | None
) -> tuple[float, bool]:
    """The number of a cell in the unit of its column, and whether the cell named its own unit."""
    number, text = _core.plain_number(text, mark), _core.with_point(text, mark)
    bare = number is not None
    try:
        if number is not None and head.unit is None:
            value = number
        elif not re.match(r"[+-]?\.?\d", text):
            raise ValueError(text)
        else:
            value = to_number(head.target, f"{text} {head.unit}" if bare else text, place)
        if not math.isfinite(value):
            raise ValueError(text)
        return value, not bare
    except (RecipeError, ValueError):
        measures = unit_of(head.target)
        expected = f"a number, {measures[1]}" if measures else "a number"
        if head.kind == "reading" and _NOT_DETECTED.fullmatch(cell.strip()):
            expected = "the limit that it is below, such as <0.05, or nothing where nobody measured"
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
