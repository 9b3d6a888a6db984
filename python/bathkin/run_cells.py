"""Text of run sheets to names and numbers: headings, separators, decimal marks, units."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from typing import NamedTuple, NoReturn

from bathkin.errors import DataError, RecipeError
from bathkin.units import to_number, unit_of

# Headings people write, and the column they mean. The first one is the name in the message.
_STEMS = {
    "temperature": ("temperature", "temp", "t", "bath_temperature"),
    "time": ("time", "duration", "plating_time", "duration_of_coating", "t_plating"),
    "area": ("area", "surface", "surface_area", "coupon_area"),
    "mass_gain": ("mass_gain", "weight_gain", "mass", "gain", "deposit_mass"),
    "thickness": ("thickness", "deposit_thickness"),
    "deposition": ("deposition", "deposition_rate", "rate", "plating_rate", "growth"),
}
_WANTED = {
    "temperature": "temperature_c",
    "time": "time_min",
    "area": "area_cm2",
    "mass_gain": "mass_gain_mg",
    "thickness": "thickness_um",
    "deposition": "deposition_um_h",
}
MEASURED = ("mass_gain_mg", "thickness_um", "deposition_um_h")
# Units as headings end in them, as the unit library reads them.
_UNITS = {
    "temperature": {"c": "degC", "degc": "degC", "f": "degF", "degf": "degF", "k": "K"},
    "time": {"s": "s", "min": "min", "minutes": "min", "h": "h", "hr": "h", "hours": "h"},
    "area": {"cm2": "cm2", "dm2": "dm2", "m2": "m2", "mm2": "mm2", "in2": "in2", "ft2": "ft2"},
    "mass_gain": {"mg": "mg", "g": "g", "ug": "ug"},
    "thickness": {"um": "um", "nm": "nm", "mm": "mm", "mil": "mil", "in": "in"},
    "deposition": {
        "um_h": "um/h",
        "um_min": "um/min",
        "nm_min": "nm/min",
        "nm_s": "nm/s",
        "mil_h": "mil/h",
        "in_h": "in/h",
        "mm_h": "mm/h",
    },
}
_LABELS = frozenset(
    {"note", "notes", "comment", "comments", "remark", "remarks", "run", "id", "no", "nr"}
    | {"coupon", "sample", "date", "operator"}
)
# Units of contents in brackets, and how a name ends for them.
_CONTENTS = {
    "g/l": ("_g_l", "g/L"),
    "gpl": ("_g_l", "g/L"),
    "oz/gal": ("_g_l", "oz/gal"),
    "mg/l": ("_mg_l", "mg/L"),
    "ppm": ("_mg_l", "mg/L"),
    "mol/l": ("_mol_l", "mol/L"),
    "m": ("_mol_l", "mol/L"),
    "mmol/l": ("_mol_l", "mmol/L"),
    "l": ("_l", "L"),
    "ml": ("_l", "mL"),
}
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")


class Given(str):
    """A cell that came as a number, so that its point is no decimal mark of the author's."""


class Heading(NamedTuple):
    """What a column is.

    Attributes:
        text: As written.
        name: Name in the table of runs; empty for a column of words.
        unit: Unit of its cells where they are to be converted, or None.
        like: Name whose unit the numbers get where it is not their own.
    """

    text: str
    name: str
    unit: str | None
    like: str = ""

    @property
    def target(self) -> str:
        """The name that ends with the unit of the numbers."""
        return self.like or ("minutes" if self.name == "time_min" else self.name)


def heading(place: str, text: str) -> Heading:
    """Name and unit of a column from its heading.

    Raises:
        DataError: For a quantity without its unit, or with one that is not known.

    Example:
        >>> from bathkin.run_cells import heading
        >>> heading("runs.csv", "Duration of coating (h)")[1:3]
        ('time_min', 'h')
        >>> heading("runs.csv", "$T$ [K]")[1:3]
        ('temperature_c', 'K')
    """
    plain = re.sub(r"\\[a-zA-Z]+|[$\\{}]", "", text).strip()
    bracket = re.fullmatch(r"(.*?)\s*[\[(]([^\])]*)[\])]", plain)
    words, unit = (bracket[1], bracket[2].strip()) if bracket else (plain, "")
    name = re.sub(r"[\s\-]+", "_", words.strip().lower()).strip("_")
    if not name or name in _LABELS:
        return Heading(text, "", None)
    if name == "minutes":
        name, unit = "time", "min"
    last = name.removeprefix("operation.") if name.startswith("operation.t") else name
    for stem, spellings in _STEMS.items():
        for spelling in spellings:
            if last == spelling:
                return _with_unit(place, text, stem, unit)
            ending = last.removeprefix(f"{spelling}_")
            if ending != last and ending in _UNITS[stem] and not unit:
                return _with_unit(place, text, stem, ending)
            if ending != last and ending in _UNITS[stem]:
                return _with_unit(place, text, stem, unit)
    if name in {"ph", "operation.ph"}:
        return Heading(text, name, None)
    if name == "sigma" or name.startswith("sigma_"):
        ending = name.removeprefix("sigma").removeprefix("_").replace("_", "/")
        return Heading(text, "sigma", unit or ending or None)
    if not unit:
        return Heading(text, name, None)
    if unit_of(name) is not None:
        return Heading(text, name, unit)
    ending, known = _CONTENTS.get(unit.lower().replace(" ", ""), ("", ""))
    if not ending:
        message = f"{place}: column {text}: expected a unit such as g/L, mol/L or oz/gal"
        raise DataError(message, column=text)
    return Heading(text, name + ending, known)


def _with_unit(place: str, text: str, stem: str, unit: str) -> Heading:
    plain = unit.lower().replace("\u00b0", "").replace("\u00b5", "u").replace("\u03bc", "u")
    plain = plain.replace("\u00b2", "2").replace("^", "").replace("deg ", "deg")
    plain = plain.replace("celsius", "c").replace("fahrenheit", "f").replace("kelvin", "k")
    plain = plain.replace("/", "_").replace("hour", "h").replace(" ", "")
    plain = re.sub(r"^microns?", "um", plain)
    plain = re.sub(r"_hr?$", "_h", plain)
    known = _UNITS[stem]
    if plain not in known:
        readings = ", ".join(f"{stem}_{ending}" for ending in list(known)[:6])
        what = f"the unit '{unit}' is not known" if unit else "it has no unit"
        message = f"{place}: column {text}: {what}: expected one of {readings}"
        raise DataError(message, column=text)
    return Heading(text, _WANTED[stem], known[plain])


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


def decimal_mark(place: str, header: Sequence[str], rows: Sequence[Sequence[str]]) -> str | None:
    """The decimal mark of the cells, `,` or `.`; None where no cell has any.

    Raises:
        DataError: For a cell with both, two marks in one file, or commas that may part thousands.

    Example:
        >>> from bathkin.run_cells import decimal_mark
        >>> decimal_mark("runs.csv", ["x"], [["5,5"], ["7,04"]])
        ','
    """
    found: str | None = None
    doubtful: tuple[int, str, str] | None = None
    certain = False
    for number, row in enumerate(rows, start=1):
        for column, cell in zip(header, row, strict=True):
            marks = {mark for mark in ",." if mark in cell}
            if isinstance(cell, Given) or not marks or not re.match(r"[+-]?[\d.,]", cell):
                continue
            if len(marks) == 2 or cell.count(",") > 1:
                _refuse(place, number, column, cell, "one decimal mark and no thousands mark")
            mark = marks.pop()
            if found not in (None, mark):
                _refuse(
                    place, number, column, cell, f"the decimal mark '{found}' of the rows above"
                )
            found = mark
            if mark == "," and _THOUSANDS.fullmatch(cell):
                doubtful = doubtful or (number, column, cell)
            else:
                certain = True
    if doubtful and not certain:
        number, column, cell = doubtful
        _refuse(place, number, column, cell, "a decimal point: this comma may part thousands")
    return found


def cell_number(
    place: str, row: int, head: Heading, cell: str, mark: str | None
) -> tuple[float, bool]:
    """The number of a cell in the unit of its column, and whether the cell named its own unit.

    Raises:
        DataError: For what is no number, or has a unit of another kind.
    """
    text = cell.replace(",", ".") if mark == "," and re.match(r"[+-]?\d*,\d", cell) else cell
    bare = _NUMBER.fullmatch(text) is not None
    try:
        if bare and head.unit is None:
            return float(text), False
        quantity = f"{text} {head.unit}" if bare else text
        if not bare and _NUMBER.match(text) is None:
            raise ValueError(text)
        return to_number(head.target, quantity, place), not bare
    except (RecipeError, ValueError):
        measures = unit_of(head.target)
        expected = f"a number, {measures[1]}" if measures else "a number"
        _refuse(place, row, head.text, cell, expected)


def check(place: str, row: int, head: Heading, cell: str, value: float) -> None:
    """Refuses values that a bath cannot have; they mostly come from a column in another unit.

    Raises:
        DataError: With the likely reason.
    """
    last = head.name.rsplit(".", 1)[-1]
    if last == "temperature_c" and not 0.0 <= value <= 105.0:
        hint = {"degC": "is the column in degF or K?", "K": "is the column in degC?"}
        why = hint.get(head.unit or "degC", "is the column in degC?")
        _refuse(place, row, head.text, cell, f"the temperature of an aqueous bath: {why}")
    if last == "ph" and not 0.0 <= value <= 14.0:
        _refuse(place, row, head.text, cell, "a pH between 0 and 14: is it another column's value?")


def _refuse(place: str, row: int, column: str, cell: str, expected: str) -> NoReturn:
    message = f"{place}: row {row}, {column} = {cell or '(empty)'}: expected {expected}"
    raise DataError(message, row=row, column=column, raw=cell)
