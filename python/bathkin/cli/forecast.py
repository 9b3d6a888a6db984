"""The command forecast: when a bath will be dumped, from its log."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from bathkin.cli.fit_options import fitted, options_of_fit, with_assumptions
from bathkin.cli.options import (
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import Command, output_path, written
from bathkin.core.arguments import MOST_REPEATS
from bathkin.fit.call import RATE
from bathkin.fit.data import Sheets
from bathkin.reports.documents import document
from bathkin.reports.fit import depends_on
from bathkin.tables.logs import read_log
from bathkin.tables.runs import read_runs
from bathkin.tracking.beside import beside_today


@click.command("forecast", cls=Command)
@recipe_options
@click.argument("log", type=click.Path(path_type=Path))
@click.option(
    "--runs",
    "runs",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Coupon runs to fit with the log. Repeatable.",
)
@click.option(
    "--free",
    multiple=True,
    default=RATE,
    show_default=True,
    metavar="PATH",
    help="Fit it. Repeatable.",
)
@click.option(
    "--count",
    type=click.IntRange(1, MOST_REPEATS),
    default=200,
    show_default=True,
    help="Lives.",
)
@click.option(
    "--seed", type=click.IntRange(min=0), default=1, show_default=True, help="Of the draws."
)
@click.option("--made-up", metavar="DATE", help="When the bath was made up: 2026-03-04 07:30.")
@click.option(
    "--despite-misfit", is_flag=True, help="Forecast though the model misses the data in the log."
)
@options_of_fit
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
def forecast_command(
    recipe: str,
    settings: tuple[str, ...],
    log: Path,
    runs: tuple[Path, ...],
    free: tuple[str, ...],
    count: int,
    seed: int,
    made_up: str | None,
    despite_misfit: bool,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
    **options: Any,
) -> None:
    """When a bath will be dumped and by which limit, with the uncertainty of the fit to LOG.

    The fit's view from make-up; `bathkin today` follows the bath as it stands. Fits the log, then
    simulates lives of the bath, from its make-up as the recipe has it, sampled from the fit. Where
    the model misses the log (its remarks say so) the forecast is refused, unless asked for with
    --despite-misfit. Numbers that were not fitted are held, and in
    no spread: what 10 % more of the uncertain ones moves is listed.
    """
    if plot is not None:
        from bathkin.plots.picture import check_format

        check_format(plot)
    begun = read_recipe(recipe, settings)
    log_read = read_log(log, begun)
    data: Sheets = [log_read, *map(read_runs, runs)]
    found = fitted(begun, data, free, options)
    showing = shows_progress(as_json, quiet)
    ahead = found.forecast(
        count=count,
        seed=seed,
        made_up=made_up,
        progress=showing,
        despite_misfit=despite_misfit,
    )
    today = beside_today(ahead, begun, log_read)
    if as_json:
        values = {**ahead.to_dict(), "today": None if today is None else today.to_dict()}
        print_json(document("forecast", begun, ahead.flags, depends_on=depends_on(found), **values))
    else:
        text = ahead.summary() if today is None else f"{ahead.summary()}\n\n{today.text()}"
        print_result(with_assumptions(text, found.data, quiet), begun, ahead.flags, quiet)
    if plot is not None:
        from bathkin.plots.picture import save

        existed = plot.exists()
        save(ahead.plot(), plot)
        written(plot, as_json, existed)
