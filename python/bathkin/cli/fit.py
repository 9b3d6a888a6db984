"""The command fit: numbers of a recipe from coupon runs."""

from __future__ import annotations

from pathlib import Path

import click

from bathkin import files
from bathkin.cli.options import (
    output_path,
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    written,
)
from bathkin.documents import document
from bathkin.errors import DataError
from bathkin.run_fit import fit
from bathkin.runs import read_runs
from bathkin.units import to_number


@click.command("fit")
@recipe_options
@click.argument("runs", type=click.Path(path_type=Path))
@click.option("--free", multiple=True, required=True, metavar="PATH", help="Fit it. Repeatable.")
@click.option(
    "--bound", "bounds", multiple=True, metavar="PATH=LOW:HIGH", help="Keep it there. Repeatable."
)
@click.option(
    "--errors",
    type=click.Choice(["relative", "absolute", "mixed"]),
    default="relative",
    show_default=True,
    help="How errors of what was measured are distributed.",
)
@click.option("--absolute-sigma", type=float, help="Standard deviation in the unit of the data.")
@click.option("--relative-sigma", type=float, help="Relative standard deviation, 0.05 for 5 %.")
@click.option(
    "--sigma-known",
    is_flag=True,
    help="Believe the sigmas; without, the residuals tell their size.",
)
@click.option("--write", "target", type=output_path, help="Write the fitted recipe to this file.")
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
def fit_command(
    recipe: str,
    settings: tuple[str, ...],
    runs: Path,
    free: tuple[str, ...],
    bounds: tuple[str, ...],
    errors: str,
    absolute_sigma: float | None,
    relative_sigma: float | None,
    sigma_known: bool,
    target: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Numbers of a recipe fitted to coupon runs.

    RUNS is a CSV file, a row for each coupon: temperature_c, ph, time_min, area_cm2 and one of
    mass_gain_mg, thickness_um, deposition_um_h (other units by suffix or in brackets), sigma, and
    any number of the recipe as a further column. Fits start from the recipe's numbers.
    """
    if plot is not None:
        from bathkin.plots import check_format, save

        check_format(plot)
    start = read_recipe(recipe, settings)
    table = read_runs(runs)
    found = fit(
        start,
        table,
        list(free),
        dict(_bound(text) for text in bounds),
        errors,
        absolute_sigma=absolute_sigma,
        relative_sigma=relative_sigma,
        sigma="known" if sigma_known else "estimated",
    )
    if as_json:
        print_json(document("fit", start, start.flags, **found.as_dict()))
    else:
        shown = found.summary() if quiet else f"{table.summary()}\n\n{found.summary()}"
        print_result(shown, start, start.flags, quiet)
    if target is not None:
        existed = target.exists()
        files.write(target, found.recipe().text.encode())
        written(target, as_json, existed)
    if plot is not None:
        existed = plot.exists()
        save(found.plot(), plot)
        written(plot, as_json, existed)


def _bound(text: str) -> tuple[str, tuple[float | None, float | None]]:
    path, equals, ends = text.partition("=")
    low, colon, high = ends.partition(":")
    if not equals or not colon or not path.strip():
        raise DataError(f"--bound {text}: expected PATH=LOW:HIGH, either end may be empty")
    numbers = [
        to_number(path.strip(), end.strip(), "--bound") if end.strip() else None
        for end in (low, high)
    ]
    return path.strip(), (numbers[0], numbers[1])
