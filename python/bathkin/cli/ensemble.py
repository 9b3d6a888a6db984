"""The command ensemble: many members of one recipe."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import click

from bathkin.cli.options import (
    Function,
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import Command, check_pictures, output_path, table_path, write_files
from bathkin.cli.simulate import read_vary
from bathkin.core.arguments import MOST_MEMBERS
from bathkin.ensemble.call import KEEP, OUTPUTS, ensemble
from bathkin.ensemble.draws import SAMPLING, Draws
from bathkin.errors import RecipeError
from bathkin.reports.documents import document

INTERRUPTED = 130


def draw_option(function: Function) -> Function:
    """--draw."""
    return click.option(
        "--draw",
        "drawn",
        multiple=True,
        metavar="PATH=SPREAD",
        help='Draw a number: "operation.ph=normal(4.8, 0.05)", uniform(low, high),'
        " lognormal(median, sd of the logarithm), loguniform, triangular(low, mode, high),"
        " prior(mean, sd) or prior. Repeatable.",
    )(function)


def work_options(function: Function) -> Function:
    """--checkpoint and --workers."""
    checkpoint = click.option(
        "--checkpoint",
        "checkpoints",
        multiple=True,
        type=click.Path(),
        metavar="FILE",
        help="Told of members as they are done; a run that was ended goes on from it. Of several"
        " the first is written and the others are read. Repeatable.",
    )
    workers = click.option(
        "--workers",
        type=click.IntRange(1, 1024),
        help="Processes to compute in, in place of threads; the results are the same.",
    )
    return checkpoint(workers(function))


def pool_of(workers: int | None) -> Any:
    """The processes of --workers, or none."""
    if not workers:
        return nullcontext()
    from concurrent.futures import ProcessPoolExecutor

    return ProcessPoolExecutor(workers)


@click.command("ensemble", cls=Command)
@recipe_options
@draw_option
@click.option(
    "--vary",
    "varied",
    multiple=True,
    metavar="PATH=VALUES",
    help="Every combination of values: PATH=low:high:count or PATH=a,b,c. Repeatable.",
)
@click.option(
    "--table",
    "table",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A row for each member, a column for each path.",
)
@click.option(
    "--output",
    "outputs",
    multiple=True,
    default=OUTPUTS,
    show_default=True,
    metavar="NAME",
    help="make_up.QUANTITY, turnover_3.QUANTITY, end.QUANTITY or dump.WHAT. Repeatable.",
)
@click.option(
    "--members",
    type=click.IntRange(1, MOST_MEMBERS),
    help="How many are drawn: 1000, or 1024 points of Sobol's.",
)
@click.option(
    "--sampling",
    type=click.Choice(SAMPLING),
    default="random",
    show_default=True,
    help="Random draws, or the points of a scrambled Sobol sequence.",
)
@click.option(
    "--seed", type=click.IntRange(min=0), default=0, show_default=True, help="Of the draws."
)
@click.option(
    "--part",
    metavar="FROM:TO",
    help="Members to compute of all of them, for work that is split by hand.",
)
@click.option(
    "--keep",
    type=click.Choice(KEEP),
    help="Every member, or statistics alone; by itself every one up to 5 million numbers.",
)
@work_options
@click.option("--csv", type=table_path, help="Write the members to this file.")
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
def ensemble_command(
    recipe: str,
    settings: tuple[str, ...],
    drawn: tuple[str, ...],
    varied: tuple[str, ...],
    table: Path | None,
    part: str | None,
    checkpoints: tuple[str, ...],
    workers: int | None,
    csv: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
    **options: Any,
) -> int:
    """Many members of RECIPE: its bath and its life at many values of its numbers.

    Members that fail are counted and listed with their values and the reason. Ctrl-C ends it with
    what is done, and exit code 130.
    """
    check_pictures(plot)
    begun = read_recipe(recipe, settings)
    draws = _draws(drawn, varied, table)
    with pool_of(workers) as executor:
        found = ensemble(
            begun,
            draws,
            part=None if part is None else _part(part),
            checkpoint=checkpoints or None,
            executor=executor,
            progress=shows_progress(as_json, quiet),
            **options,
        )
    if as_json:
        depends_on = {"seed": found.seed, "sampling": found.sampling}
        print_json(
            document("ensemble", begun, found.flags, depends_on=depends_on, **found.to_dict())
        )
    else:
        print_result(found.summary(), begun, found.flags, quiet)
    write_files([(csv, found.to_csv), (plot, found.plot)], as_json)
    return 0 if found.complete else INTERRUPTED


def _draws(drawn: tuple[str, ...], varied: tuple[str, ...], table: Path | None) -> Draws:
    given = [
        name for name, one in (("--draw", drawn), ("--vary", varied), ("--table", table)) if one
    ]
    if len(given) != 1:
        told = " and ".join(given) or "neither"
        raise RecipeError(f"{told}: expected one of --draw, --vary and --table")
    if table is not None:
        return table
    if varied:
        return once("--vary", [read_vary(text) for text in varied])
    return drawn_once(drawn)


def _drawn(text: str) -> tuple[str, str]:
    path, equals, spread = (part.strip() for part in text.partition("="))
    if not equals or not path or not spread:
        expected = 'expected "PATH=normal(mean, sd)" or another distribution'
        raise RecipeError(f"--draw {text}: {expected}")
    return path, spread


def once(option: str, pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    """Pairs by path.

    Raises:
        RecipeError: For a path that is there twice.
    """
    paths = [path for path, _ in pairs]
    twice = next((path for path in paths if paths.count(path) > 1), None)
    if twice is not None:
        raise RecipeError(f"{option}: {twice} is there twice: expected each path once")
    return dict(pairs)


def drawn_once(drawn: Sequence[str]) -> dict[str, Any]:
    """Distributions of --draw by path."""
    return once("--draw", [_drawn(text) for text in drawn])


def _part(text: str) -> tuple[int, int]:
    start, colon, to = text.partition(":")
    if not colon or not start.strip().isdecimal() or not to.strip().isdecimal():
        raise RecipeError(f"--part {text}: expected FROM:TO, such as 0:1000")
    return int(start), int(to)
