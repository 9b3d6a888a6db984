"""The commands optimise and trade-off: best numbers of a recipe."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import click

from bathkin.cli.ensemble import INTERRUPTED, once
from bathkin.cli.options import (
    Function,
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import (
    Command,
    check_pictures,
    output_path,
    recipe_path,
    table_path,
    write_files,
)
from bathkin.core import files
from bathkin.errors import RecipeError
from bathkin.optimise.call import POINTS, RESTARTS, STARTS, optimise, trade_off
from bathkin.reports.documents import document

# The result is complete, and says that there is no such point.
INFEASIBLE = 4
_LIMIT = re.compile(r"(.+?)\s*(>=|<=|=)\s*(.+)")


def search_options(function: Function) -> Function:
    """What both commands are asked."""
    for one in (
        click.option(
            "--vary",
            "varied",
            multiple=True,
            required=True,
            metavar="PATH=LOW:HIGH",
            help="A number with its bounds: operation.ph=4.4:5.2. Repeatable.",
        ),
        click.option(
            "--least",
            multiple=True,
            metavar="NAME",
            help="To be as small as can be: dump.cost_per_m2 or another output of `ensemble`.",
        ),
        click.option(
            "--most",
            multiple=True,
            metavar="NAME",
            help="To be as great as can be: dump.plating_h, dump.area_m2 ...",
        ),
        click.option(
            "--limit",
            "limits",
            multiple=True,
            metavar="NAME>=VALUE",
            help='"end.deposition_um_h>=12", "dump.cost<=900", "phosphorus_wt_pct=7:9"; a quantity'
            " without end., make_up. ... is limited all along the life. Repeatable.",
        ),
        click.option(
            "--output",
            "outputs",
            multiple=True,
            metavar="NAME",
            help="Told of the best point, too. Repeatable.",
        ),
        click.option(
            "--points",
            type=click.IntRange(4),
            default=POINTS,
            show_default=True,
            help="Points of the first look over all bounds, a power of two.",
        ),
        click.option(
            "--starts",
            type=click.IntRange(1, 10_000),
            default=STARTS,
            show_default=True,
            help="Searches from the best of them.",
        ),
        click.option(
            "--restarts",
            type=click.IntRange(0, 100),
            default=RESTARTS,
            show_default=True,
            help="Rounds after those, in ever smaller windows about the best.",
        ),
        click.option(
            "--seed",
            type=click.IntRange(min=0),
            default=0,
            show_default=True,
            help="Of the points.",
        ),
        click.option("--csv", type=table_path, help="Write the points to this file."),
        click.option(
            "--plot", type=output_path, help="Write the picture to this file (png, pdf, svg)."
        ),
    )[::-1]:
        function = one(function)
    return function


@click.command("optimise", cls=Command)
@recipe_options
@search_options
@click.option("--write", "target", type=recipe_path, help="Write the best recipe to this file.")
def optimise_command(
    recipe: str,
    settings: tuple[str, ...],
    varied: tuple[str, ...],
    limits: tuple[str, ...],
    least: tuple[str, ...],
    most: tuple[str, ...],
    csv: Path | None,
    plot: Path | None,
    target: Path | None,
    as_json: bool,
    quiet: bool,
    **options: Any,
) -> int:
    """Best numbers of RECIPE: the least or the most of an output of its life, under limits.

    The margin of each limit, which of them bind, and how finely the goal is known, for doses and
    stops come whole. Exit code 4 where no point within all limits was found (the result is that of
    the point least beyond them). Ctrl-C ends it with the best until then, and exit code 130.
    """
    check_pictures(plot)
    if len(least) + len(most) != 1:
        raise RecipeError("expected one --least or one --most; `bathkin trade-off` takes two")
    begun = read_recipe(recipe, settings)
    found = optimise(
        begun,
        _boxes(varied),
        least=least[0] if least else None,
        most=most[0] if most else None,
        limits=_limits(limits),
        progress=shows_progress(as_json, quiet),
        **options,
    )
    if as_json:
        told = {name: one for name, one in found.to_dict().items() if name not in {"flags", "seed"}}
        depends_on = {"seed": found.seed}
        print_json(document("optimise", begun, found.flags, depends_on=depends_on, **told))
    else:
        print_result(found.summary(), begun, found.flags, quiet)
    best = found.best_recipe() if target is not None and found.feasible else None

    def write(path: Path) -> None:
        if best is not None:
            files.write(path, best.written().text.encode())

    write_files(
        [(csv, found.to_csv), (plot, found.plot), (target if best is not None else None, write)],
        as_json,
    )
    return _code(found.complete, found.feasible)


@click.command("trade-off", cls=Command)
@recipe_options
@search_options
@click.option(
    "--count",
    type=click.IntRange(3, 1000),
    default=9,
    show_default=True,
    help="Points of the curve at most.",
)
def trade_off_command(
    recipe: str,
    settings: tuple[str, ...],
    varied: tuple[str, ...],
    limits: tuple[str, ...],
    csv: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
    **options: Any,
) -> int:
    """What one goal of RECIPE costs of another: the best of the one at levels of the other.

    Two of --least and --most; those of --least come first.
    """
    check_pictures(plot)
    begun = read_recipe(recipe, settings)
    found = trade_off(
        begun,
        _boxes(varied),
        limits=_limits(limits),
        progress=shows_progress(as_json, quiet),
        **options,
    )
    if as_json:
        depends_on = {"seed": found.ends[0].seed}
        contents = found.to_dict()
        print_json(document("trade-off", begun, found.flags, depends_on=depends_on, **contents))
    else:
        print_result(found.summary(), begun, found.flags, quiet)
    write_files([(csv, found.to_csv), (plot, found.plot)], as_json)
    return _code(found.complete, found.feasible)


def _code(complete: bool, feasible: bool) -> int:
    if not complete:
        return INTERRUPTED
    return 0 if feasible else INFEASIBLE


def _boxes(varied: tuple[str, ...]) -> dict[str, Any]:
    """Bounds of --vary by path."""
    boxes = []
    for text in varied:
        path, equals, ends = (part.strip() for part in text.partition("="))
        low, colon, high = (part.strip() for part in ends.partition(":"))
        if not (path and equals and colon and low and high) or ":" in high:
            expected = "expected PATH=LOW:HIGH, such as operation.ph=4.4:5.2"
            raise RecipeError(f"--vary {text}: {expected}")
        boxes.append((path, (low, high)))
    return once("--vary", boxes)


def _limits(limits: tuple[str, ...]) -> dict[str, Any]:
    """Sides of --limit by name."""
    found: list[tuple[str, Any]] = []
    for text in limits:
        match = _LIMIT.fullmatch(text.strip())
        sides = match[3].split(":") if match is not None else []
        if match is None or (match[2] == "=") != (len(sides) == 2):
            expected = 'expected "NAME>=VALUE", "NAME<=VALUE" or "NAME=LOW:HIGH"'
            raise RecipeError(f"--limit {text}: {expected}")
        low, high = sides if match[2] == "=" else (sides[0], None)
        found.append((match[1], (None, low) if match[2] == "<=" else (low, high)))
    return once("--limit", found)
