"""The command design: which runs to make next."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from bathkin.cli.fit_options import fitted, log_option, options_of_fit, with_assumptions
from bathkin.cli.options import (
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import Command, table_path, written
from bathkin.cli.simulate import read_vary
from bathkin.core import files, layout
from bathkin.core.arguments import MOST_RUNS
from bathkin.core.remarks import messages
from bathkin.fit.data import Sheets, assumptions
from bathkin.reports.documents import document
from bathkin.reports.fit import depends_on
from bathkin.tables.logs import read_log
from bathkin.tables.runs import read_runs


@click.command("design", cls=Command)
@recipe_options
@click.argument("runs", nargs=-1, type=click.Path(path_type=Path))
@log_option
@click.option("--free", multiple=True, required=True, metavar="PATH", help="Fit it. Repeatable.")
@click.option(
    "--candidates",
    multiple=True,
    required=True,
    metavar="SETTING=VALUES",
    help="Values to choose from: 70,80,90 or LOW:HIGH:COUNT. Repeatable; all are combined.",
)
@click.option(
    "--count", type=click.IntRange(1, MOST_RUNS), default=1, show_default=True, help="Runs."
)
@click.option("--aim", metavar="PATH", help="The number that matters; without, all together.")
@click.option(
    "--at-most",
    type=click.IntRange(1, MOST_RUNS),
    default=1,
    show_default=True,
    help="How often the same settings may be chosen.",
)
@click.option(
    "--run-sigma", type=float, help="Relative standard deviation of a run, for logs alone."
)
@options_of_fit
@click.option("--csv", "target", type=table_path, help="Write the runs to this file.")
def design_command(
    recipe: str,
    settings: tuple[str, ...],
    runs: tuple[Path, ...],
    logs: tuple[Path, ...],
    free: tuple[str, ...],
    candidates: tuple[str, ...],
    count: int,
    aim: str | None,
    at_most: int,
    run_sigma: float | None,
    target: Path | None,
    as_json: bool,
    quiet: bool,
    **options: Any,
) -> None:
    """Which coupon runs to make next, to narrow the fit to RUNS most.

    Settings are columns of runs: temperature_c, ph, nickel_g_l, time_min, area_dm2, any number of
    the recipe. Make a few, add them to RUNS, fit again: the best runs depend on the estimates.
    """
    if not runs and not logs:
        raise click.UsageError("no data: expected files of RUNS, or --log FILE")
    begun = read_recipe(recipe, settings)
    data: Sheets = [*map(read_runs, runs), *(read_log(log, begun) for log in logs)]
    found = fitted(begun, data, free, options)
    chosen = found.next_runs(
        dict(read_vary(one, "--candidates") for one in candidates),
        count,
        aim,
        at_most,
        relative_sigma=run_sigma,
        progress=shows_progress(as_json, quiet),
    )
    if as_json:
        known = {
            "estimates": [one.to_dict() for one in found.estimates],
            **chosen.to_dict(),
            "messages": messages([*chosen.remarks, *found.remarks]),
            "assumptions": assumptions(found.data),
        }
        print_json(document("design", begun, begun.flags, depends_on=depends_on(found), **known))
    else:
        parts = [chosen.summary(), layout.remarks(found.remarks)]
        text = with_assumptions("\n".join(filter(None, parts)), found.data, quiet)
        print_result(text, begun, begun.flags, quiet)
    if target is not None:
        existed = target.exists()
        files.write_table(target, chosen.table(), index="run")
        written(target, as_json, existed)
