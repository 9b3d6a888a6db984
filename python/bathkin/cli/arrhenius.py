"""The command arrhenius: a plain table of rate against temperature."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, NamedTuple

import click
import numpy as np

from bathkin.cli.fit_options import assumed
from bathkin.cli.options import output_options, print_json
from bathkin.cli.outputs import Command, echo, output_path, written
from bathkin.core.remarks import messages
from bathkin.core.result import plain
from bathkin.core.units import to_number
from bathkin.errors import DataError
from bathkin.fit.arrhenius import fit_arrhenius
from bathkin.reports.documents import document
from bathkin.tables import headings
from bathkin.tables.cells import decimal_mark, numbers, refuse
from bathkin.tables.headings import Heading
from bathkin.tables.problems import Problems
from bathkin.tables.sheets import Assumption, assumed_text, cells_of

# These tables need not be of an aqueous bath.
_TEMPERATURE = headings.TEMPERATURE._replace(name="temperature_k")


class Table(NamedTuple):
    """Rates against temperature.

    Attributes:
        unit: Unit of the temperatures as written.
        rate: Heading of the rates.
        kelvin: Temperatures, K.
        rates: Rates in their unit.
        report: What was assumed.
    """

    unit: str
    rate: str
    kelvin: list[float]
    rates: list[float]
    report: list[Assumption]


@click.command(cls=Command)
@click.argument("table", type=click.Path(path_type=Path))
@click.option("--at", "reference", metavar="TEMPERATURE", help='State k here, e.g. "88 degC".')
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
@output_options
def arrhenius(
    table: Path, reference: str | None, plot: Path | None, as_json: bool, quiet: bool
) -> None:
    """Activation energy from a table of rates.

    TABLE is a CSV file of rate against temperature, its rows in any order. The first line names two
    columns: temperature_c, _k or _f (or T [K]), and a rate or rate constant in any unit. Columns
    are separated by tab, semicolon or comma, decimals by point or comma; lines that begin with #
    are left out. What was assumed is listed. k is stated at the harmonic mean of the temperatures,
    or where --at says; a bare number is in the unit of the temperature column.
    """
    if plot is not None:
        from bathkin.plots.picture import check_format, save

        check_format(plot)
    given = read_table(table)
    _warn(given.rate, max(given.rates))
    reference_k = _reference(reference, given.unit) if reference is not None else None
    try:
        fit = fit_arrhenius(np.array(given.kelvin), np.array(given.rates), reference_k)
    except DataError as error:
        # The core calls the rate k; the file has its own name for it.
        message = f"{table}: {error}".replace(", k = ", f", {given.rate} = ")
        raise DataError(message, row=error.row, column=error.column, raw=error.raw) from error
    if as_json:
        contents: dict[str, Any] = {
            "estimates": [estimate.to_dict() for estimate in fit.estimates],
            "k_ref": fit.k_ref.value,
            "reference_temperature_k": fit.reference_temperature_k,
            "correlation": fit.correlation,
            "error_model": fit.error_model,
            "degrees_of_freedom": fit.degrees_of_freedom,
            "residual_sd_ln_k": fit.residual_sd_ln_k,
            "curvature_t": fit.curvature_t,
            "direct": plain(fit.direct),
            "messages": messages(fit.remarks),
            "assumptions": [one.to_dict() for one in given.report],
        }
        print_json(document("arrhenius", None, [], **contents))
    else:
        if quiet:
            assumed(str(table), given.report)
        elif given.report:
            echo(f"{assumed_text(given.report)}\n")
        echo(fit.summary())
    if plot is not None:
        existed = plot.exists()
        save(fit.plot(), plot)
        written(plot, as_json, existed)


def _warn(column: str, fastest: float) -> None:
    """Warns of a rate that is hard to believe, where its heading has a unit of rates."""
    name, unit = headings.named(column)
    written = f"{name}_{headings.plain_unit(unit)}".strip("_")
    for ending, known in headings.RATE_UNITS.items():
        if written.endswith(f"_{ending}"):
            to_number("deposition_um_h", f"{fastest!r} {known}", column)


def _reference(text: str, unit: str) -> float:
    """The temperature of --at in K; a bare number is in the unit of the table."""
    bare = re.fullmatch(r"[+-]?[\d.]+", text.strip()) is not None
    return to_number("temperature_k", f"{text} {unit}" if bare else text, "--at")


def read_table(path: Path) -> Table:
    """Temperatures and rates of a file, in whatever order of rows and columns.

    Raises:
        DataError: For what cannot be read, and for any but two columns of numbers.
    """
    place, header, cells, left_out = cells_of(path)
    words = [at for at, text in enumerate(header) if headings.named(text)[0] in headings.WORDS]
    numeric = [at for at in range(len(header)) if at not in words]
    for at in numeric:
        headings.refuse_transformed(place, header[at])
    found = {
        at: headings.of_stem(place, headings.bracketed(header[at]), (_TEMPERATURE,))
        for at in numeric
    }
    found = {at: head and head._replace(text=header[at]) for at, head in found.items()}
    temperatures = [head for head in found.values() if head is not None]
    rates = [at for at, head in found.items() if head is None]
    if len(temperatures) != 1 or len(rates) != 1:
        raise DataError(
            f"{place}: the columns are {', '.join(header)}: expected two: temperature_c,"
            " temperature_k or temperature_f, and a rate"
        )
    only = [[row[at] for at in numeric] for row in cells]
    of_rates = Heading(header[rates[0]], header[rates[0]], None)
    report = list(left_out)
    mark = decimal_mark(place, [found[at] or of_rates for at in numeric], only, report)
    report += [
        Assumption(None, header[at], header[at], "words", "not used in a fit") for at in words
    ]
    columns = []
    problems = Problems(place)
    for head in (temperatures[0], of_rates):
        column = [row[header.index(head.text)] for row in cells]
        values, _ = numbers(head, column, mark, report, problems)
        problems.refuse_any()
        known = [value for value in values if value is not None]
        if len(known) < len(values):
            row = values.index(None)
            refuse(place, row + 1, head.text, column[row], "a number in every row")
        columns.append(known)
    return Table(temperatures[0].unit or "K", of_rates.text, columns[0], columns[1], report)
