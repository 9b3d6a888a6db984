"""`bathkin backtest`: forecasts of a log whose tail is hidden, scored."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

import click

from bathkin.cli.options import (
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import Command
from bathkin.core.arguments import MOST_REPEATS
from bathkin.core.units import to_number
from bathkin.reports.documents import document
from bathkin.tracking.backtest import backtest
from bathkin.tracking.track import as_log


@click.command("backtest", cls=Command)
@recipe_options
@click.argument("logs", nargs=-1, required=True, metavar="LOG...", type=click.Path(path_type=Path))
@click.option(
    "--rows",
    multiple=True,
    type=click.IntRange(min=2),
    help="Forecast from so many rows. Repeatable; without: a quarter, a half, three quarters.",
)
@click.option("--dumped", help="When it was dumped: a date, or hours from the first row.")
@click.option("--last-bath-h", help="How long the last bath lasted, h, to compare with.")
@click.option(
    "--members",
    type=click.IntRange(1, MOST_REPEATS),
    default=200,
    show_default=True,
    help="Baths that go on to their first limit, for each forecast.",
)
@click.option(
    "--seed", type=click.IntRange(min=0), default=1, show_default=True, help="Of the draws."
)
def backtest_command(
    recipe: str,
    settings: Sequence[str],
    logs: tuple[Path, ...],
    rows: tuple[int, ...],
    dumped: str | None,
    last_bath_h: str | None,
    members: int,
    seed: int,
    as_json: bool,
    quiet: bool,
) -> None:
    """How good the date of `bathkin today` would have been along LOG.

    Hides the tail of the log, forecasts the dump from several rows, and scores the forecasts
    against what came, against straight lines through the readings, and against the last bath.
    Several LOGs are files of one bath, joined by date.
    """
    of = read_recipe(recipe, settings)
    found = backtest(
        of,
        as_log(logs, of),
        rows=rows,
        dumped=_moment(dumped),
        last_bath_h=None
        if last_bath_h is None
        else to_number("last_bath_h", last_bath_h, "--last-bath-h"),
        members=members,
        seed=seed,
        progress=shows_progress(as_json, quiet),
    )
    if as_json:
        asked = {"seed": seed, "members": members}
        print_json(document("backtest", of, of.flags, depends_on=asked, **found.to_dict()))
    else:
        print_result(found.summary(), of, of.flags, quiet)


def _moment(dumped: str | None) -> float | str | None:
    with suppress(TypeError, ValueError):
        return float(dumped)  # type: ignore[arg-type]
    return dumped
