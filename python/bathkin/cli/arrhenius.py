"""The command arrhenius: a plain table of rate against temperature."""

from __future__ import annotations

import csv
from pathlib import Path

import click
import numpy as np

from bathkin.arrhenius import fit_arrhenius
from bathkin.cli.options import output_options, output_path, print_json, written
from bathkin.documents import document
from bathkin.errors import DataError
from bathkin.units import to_number

_TEMPERATURES = {"temperature_k": "K", "temperature_c": "degC", "temperature_f": "degF"}
# Rate columns whose unit is known by their name.
_RATES = {"_um_h": "um/h", "_um_min": "um/min", "_mil_h": "mil/h", "_in_h": "in/h"}


@click.command()
@click.argument("table", type=click.Path(path_type=Path))
@click.option("--at", "reference", metavar="TEMPERATURE", help='State k here, e.g. "88 degC".')
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
@output_options
def arrhenius(
    table: Path, reference: str | None, plot: Path | None, as_json: bool, quiet: bool
) -> None:
    """Activation energy from a table of rates.

    TABLE is a CSV file of rate against temperature. The first line names two columns:
    temperature_c, _k or _f, and a rate or rate constant in any unit. Columns are separated
    by commas, decimals by points; lines that begin with # are left out. k is stated at the harmonic
    mean of the temperatures, or where --at says; a bare number is in the unit of the temperature
    column.
    """
    if plot is not None:
        from bathkin.plots import check_format, save

        check_format(plot)
    (name, rate), temperatures, rates = read_table(table)
    kelvin = np.array([_kelvin(name, value) for value in temperatures])
    _doubt(rate, max(rates, default=0.0))
    reference_k = None
    if reference is not None:
        reference_k = _kelvin(name, to_number(name, reference, "--at"))
    try:
        fit = fit_arrhenius(kelvin, np.array(rates), reference_k)
    except DataError as error:
        # The core calls the rate k; the file has its own name for it.
        message = f"{table}: {error}".replace(", k = ", f", {rate} = ")
        raise DataError(message, row=error.row, column=error.column, raw=error.raw) from error
    if as_json:
        contents = {
            "estimates": [estimate.as_dict() for estimate in fit.estimates],
            "k_ref": fit.k_ref.value,
            "reference_temperature_k": fit.reference_temperature_k,
            "correlation": fit.correlation,
            "error_model": fit.error_model,
            "degrees_of_freedom": fit.degrees_of_freedom,
            "residual_sd_ln_k": fit.residual_sd_ln_k,
            "curvature_t": fit.curvature_t,
            "messages": fit.messages,
        }
        print_json(document("arrhenius", None, [], **contents))
    else:
        click.echo(fit.summary())
    if plot is not None:
        existed = plot.exists()
        save(fit.plot(), plot)
        written(plot, as_json, existed)


def _kelvin(column: str, value: float) -> float:
    return to_number("temperature_k", f"{value!r} {_TEMPERATURES[column]}")


def _doubt(column: str, fastest: float) -> None:
    """Warns of a rate that is hard to believe, where the name of its column has a unit."""
    for ending, unit in _RATES.items():
        if column.endswith(ending):
            to_number("deposition_um_h", f"{fastest!r} {unit}", column)


def read_table(path: Path) -> tuple[tuple[str, str], list[float], list[float]]:
    """Names of the two columns, temperatures, rates."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise DataError(f"{path}: expected a text file in UTF-8") from error
    except OSError as error:
        raise DataError(f"{path}: cannot be read: {error.strerror}") from error
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    if not lines:
        raise DataError(f"{path}: expected a line of column names and rows below it")
    rows = [[cell.strip() for cell in row] for row in csv.reader(lines)]
    header, body = rows[0], rows[1:]
    which = _temperature_column(path, header)
    values: tuple[list[float], list[float]] = ([], [])
    for number, row in enumerate(body, start=1):
        if len(row) != 2:
            raise DataError(
                f"{path}: row {number}: {len(row)} values for 2 columns; columns are separated by"
                " commas, decimals by points",
                row=number,
                raw=",".join(row),
            )
        for column, cell in enumerate(row):
            values[0 if column == which else 1].append(_cell(path, number, header[column], cell))
    return (header[which], header[1 - which]), values[0], values[1]


def _temperature_column(path: Path, header: list[str]) -> int:
    known = [index for index, name in enumerate(header) if name in _TEMPERATURES]
    if len(header) != 2 or len(known) != 1:
        raise DataError(
            f"{path}: the columns are {', '.join(header)}: expected two, separated by a comma:"
            " temperature_c, temperature_k or temperature_f, and a rate"
        )
    return known[0]


def _cell(path: Path, row: int, column: str, cell: str) -> float:
    try:
        return float(cell)
    except ValueError as error:
        expected = "expected a number with a decimal point"
        message = f"{path}: row {row}, {column} = {cell or '(empty)'}: {expected}"
        raise DataError(message, row=row, column=column, raw=cell) from error
