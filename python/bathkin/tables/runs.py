"""Coupon runs: a table of settings and what was measured, read with every assumption listed."""

from __future__ import annotations

from collections.abc import Sequence

from bathkin.core.arguments import word
from bathkin.core.numbers import is_quantity, number_given
from bathkin.core.units import to_number
from bathkin.errors import DataError
from bathkin.tables import headings
from bathkin.tables.cells import add_column, decimal_mark, is_bare, is_empty, numbers
from bathkin.tables.headings import Heading, Stem
from bathkin.tables.problems import Problems
from bathkin.tables.sheets import Assumption, Sheet, Source, cells_of

_WORDS = (
    headings.WORDS
    | {"run", "coupon", "date", "shift"}
    | {"batch", "beaker", "bath", "day", "group", "line", "lot", "operator", "series"}
)
_STEMS = (
    *headings.OF_COUPONS,
    Stem(
        ("time", "duration", "plating_time", "duration_of_coating", "t_plating", "t"),
        headings.TIME_UNITS,
        "time_min",
    ),
    Stem(("area", "surface", "surface_area", "coupon_area"), headings.AREA_UNITS, "area_cm2"),
)


class Runs(Sheet):
    """Coupon runs by columns. Made by `read_runs`.

    Attributes:
        file: Where they come from.
        rows: Number of each row, counted from 1 below the headings.
        columns: Numbers by name; None where nothing was measured.
        notes: Columns of words by heading: labels of the runs.
        report: Everything the reader assumed.
    """

    _noun = "runs"


def read_runs(source: Source) -> Runs:
    """Reads coupon runs from a CSV file or a pandas table.

    A file is text in UTF-8, UTF-16 or Windows-1252, or a workbook (xlsx, xls, ods). Columns are
    separated by tab, semicolon or comma; decimals by point or comma, one of them in a file. A
    heading has its unit at its end, in brackets or below a slash: `temperature_c`, `Time (h)`,
    `T/K`. Known are temperature, ph, time, area, one of mass gain, thickness and deposition rate,
    and sigma, the standard deviation of what was measured, in its unit. Any other column is a
    number of the recipe: a path (`tank.volume_l`), a name in `operation`, `make_up` or `tank`
    (`lactic_acid_g_l`), or a content (`nickel_g_l`, `hypophosphite_mol_l`). An empty cell was not
    measured, and a fit refuses an empty setting (`runs.drop(3)` leaves row 3 out); `<0.5` where
    something was measured is kept as a limit, in `below_mass_gain_mg` and the like. Columns of
    words (note, coupon, batch, beaker, lot, series ...) are labels, which may group numbers of a
    fit. Rows count from 1 below the headings; empty lines and remarks, which begin with #, do not
    count. An index of a table that has a name is a column.

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
    place, header, cells, left_out = cells_of(source)
    problems = Problems(place)
    heads = headings.once(headings.judged(header, heading, problems), problems)
    if not problems.found and not any(head.kind == "reading" for head in heads):
        expected = "mass_gain_mg, thickness_um or deposition_um_h; a bath log is read as a log"
        raise DataError(f"{place}: no column of what was measured on coupons: expected {expected}")
    with problems.gathered():
        heads = _sigma_like_what_was_measured(place, heads)
    problems.refuse_any()
    numeric = [at for at, head in enumerate(heads) if head.name]
    only = [[row[at] for at in numeric] for row in cells]
    report = list(left_out)
    mark = decimal_mark(place, [heads[at] for at in numeric], only, report)
    columns: dict[str, list[float | None]] = {}
    notes: dict[str, list[str]] = {}
    for at, head in enumerate(heads):
        column = [row[at] for row in cells]
        if not head.name:
            notes[head.text] = column
            report.append(Assumption(None, head.text, head.text, "words", "kept as labels"))
            continue
        if head.assumed:
            assumed = f"the column is {head.name}"
            report.append(Assumption(None, head.text, head.text, head.assumed, assumed))
        values, limits = numbers(head, column, mark, report, problems)
        add_column(place, columns, head, values, limits)
        report += [
            Assumption(row, head.text, cell, "empty", "not measured")
            for row, cell in enumerate(column, start=1)
            if is_empty(cell)
        ]
    problems.refuse_any()
    for row, other in _twins(columns, len(cells)):
        taken, effect = f"a replicate of row {other}", "every number is the same"
        report.append(Assumption(row, "", f"row {row}", taken, effect))
    return Runs(place, range(1, len(cells) + 1), columns, notes, report)


def heading(place: str, text: str) -> Heading:
    """Name and unit of a column of runs from its heading.

    Raises:
        DataError: For a quantity without its unit, or with one that is not known.

    Example:
        >>> from bathkin.tables.runs import heading
        >>> heading("runs.csv", "Duration of coating (h)")[1:3]
        ('time_min', 'h')
        >>> heading("runs.csv", "$T$ [K]")[1:3]
        ('temperature_c', 'K')
    """
    name, unit = headings.named(text)
    if not name or name in _WORDS:
        return Heading(text, "", None)
    if name == "minutes":
        return heading(place, "time_min")._replace(text=text)
    plain = text.removeprefix("operation.") if name.startswith("operation.t") else text
    of_stem = headings.of_stem(place, plain, _STEMS)
    if of_stem is not None:
        return of_stem._replace(text=text)
    if name in {"ph", "operation.ph"}:
        if unit:
            message = f"{place}: column {text}: expected ph, that of the bath as it plates"
            raise DataError(message, column=text)
        return Heading(text, name, None)
    if name == "sigma" or name.startswith("sigma_"):
        ending = name.removeprefix("sigma").removeprefix("_").replace("_", "/")
        return Heading(text, "sigma", unit or ending or None)
    return headings.of_content(place, text)


def setting(name: str, value: float | str, by: str) -> tuple[str, float]:
    """A setting of a run: its name in the table and its number there, in that name's unit.

    Args:
        name: As the heading of a column.
        value: A number in the unit of the heading, or a text with a unit of its own.
        by: Who gave it, for the message.

    Raises:
        DataError: For a name that is none of a setting, or lacks its unit.
        RecipeError: For a value that is no quantity, or one of another kind.

    Example:
        >>> from bathkin.tables.runs import setting
        >>> setting("area_dm2", 0.5, "predict"), setting("time (h)", 1.5, "predict")
        (('area_cm2', 50.0), ('time_min', 90.0))
    """
    head = heading(by, word(f"{by}: name of a setting", name))
    if not head.name or head.kind == "reading" or head.name == "sigma":
        raise DataError(f"{by}: {name} is no setting of a run", column=name)
    if is_quantity(value):
        return head.name, to_number(head.target, value, by)
    if not isinstance(value, str):
        value = number_given(value, None, f"{by}: {name}")
    bare = not isinstance(value, str) or is_bare(value.strip())
    with_unit = f"{value} {head.unit}" if bare and head.unit else value
    return head.name, to_number(head.target, with_unit, by)


def _sigma_like_what_was_measured(place: str, heads: Sequence[Heading]) -> list[Heading]:
    """Sigma is in the unit of what was measured, and converted with it."""
    measured = [head for head in heads if head.kind == "reading"]
    if not any(head.name == "sigma" for head in heads):
        return list(heads)
    if len(measured) != 1:
        raise DataError(f"{place}: sigma needs one measured column, not {len(measured)}")
    like = measured[0]
    return [
        head._replace(unit=head.unit or like.unit, like=like.name) if head.name == "sigma" else head
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
