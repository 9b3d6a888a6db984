"""The command sensitivity: which of the numbers that vary make an answer vary."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from bathkin.cli.ensemble import draw_option, drawn_once, pool_of, work_options
from bathkin.cli.options import (
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import Command, check_pictures, output_path, table_path, write_files
from bathkin.ensemble.sensitivity import METHODS, OUTPUTS, global_sensitivity
from bathkin.reports.documents import document


@click.command("sensitivity", cls=Command)
@recipe_options
@draw_option
@click.option(
    "--output",
    "outputs",
    multiple=True,
    default=OUTPUTS,
    show_default=True,
    metavar="NAME",
    help="As of `bathkin ensemble`. Repeatable.",
)
@click.option(
    "--method",
    type=click.Choice(METHODS),
    default="sobol",
    show_default=True,
    help="Parts of the variance, or Morris's screening of many numbers.",
)
@click.option("--points", type=click.IntRange(2), default=256, show_default=True, help="Of sobol.")
@click.option(
    "--scrambles", type=click.IntRange(2, 1000), default=8, show_default=True, help="Of sobol."
)
@click.option(
    "--trajectories", type=click.IntRange(2), default=20, show_default=True, help="Of morris."
)
@click.option(
    "--levels", type=click.IntRange(2, 1000), default=4, show_default=True, help="Of morris."
)
@click.option(
    "--seed", type=click.IntRange(min=0), default=0, show_default=True, help="Of the points."
)
@work_options
@click.option("--csv", type=table_path, help="Write the table to this file.")
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
def sensitivity_command(
    recipe: str,
    settings: tuple[str, ...],
    drawn: tuple[str, ...],
    checkpoints: tuple[str, ...],
    workers: int | None,
    csv: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
    **options: Any,
) -> None:
    """Which numbers of RECIPE make an answer vary, over all of their ranges at once.

    Sobol's method takes points x scrambles x (paths + 2) members, Morris's trajectories x
    (paths + 1).
    """
    check_pictures(plot)
    begun = read_recipe(recipe, settings)
    with pool_of(workers) as executor:
        found = global_sensitivity(
            begun,
            drawn_once(drawn),
            checkpoint=checkpoints or None,
            executor=executor,
            progress=shows_progress(as_json, quiet),
            **options,
        )
    if as_json:
        depends_on = {"seed": found.ensemble.seed, "method": found.method}
        print_json(
            document("sensitivity", begun, found.flags, depends_on=depends_on, **found.to_dict())
        )
    else:
        print_result(found.summary(), begun, found.flags, quiet)
    write_files([(csv, found.to_csv), (plot, found.plot)], as_json)
