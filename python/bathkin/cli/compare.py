"""Ways to run the same line: `bathkin compare`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from bathkin.cli.options import (
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    start_option,
)
from bathkin.cli.outputs import (
    Command,
    check_pictures,
    output_path,
    reading,
    table_path,
    write_files,
)
from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.life.bleed import bleed_for, bleed_text
from bathkin.life.strategies import Comparison, usual_strategies
from bathkin.recipe.recipe import Recipe
from bathkin.reports.documents import document


@click.command(cls=Command)
@recipe_options
@click.option("--horizon-h", metavar="H", help="Compare over this clock time, h.")
@click.option("--horizon-m2", metavar="M2", help="Compare over this area, m2 (five baths without).")
@click.option("--bleed", metavar="PART", help="Part of the bath to bleed per turnover plated.")
@click.option(
    "--bleed-for",
    metavar="LIMIT",
    help="In place of a comparison: the least bleed that holds this limit for ever.",
)
@click.option(
    "--strategy",
    "others",
    multiple=True,
    metavar="NAME:PATH=VALUE,...",
    help="Another way to run it: what it sets in the recipe, or phosphite-removal. Repeatable.",
)
@start_option
@click.option("--csv", type=table_path, help="Write the table to this CSV file.")
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
def compare(
    recipe: str,
    settings: Sequence[str],
    horizon_h: str | None,
    horizon_m2: str | None,
    bleed: str | None,
    bleed_for: str | None,
    others: Sequence[str],
    start: str | None,
    csv: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Dump and remake, bleed and feed, or dump a part: cost, waste and levels.

    All run over the same horizon: a bath that reaches a limit is dumped and remade, one that does
    not runs on. The bleed is what keeps the by-product 5 % off its limit unless --bleed says it;
    the partial dump takes out as much at every second turnover. "--strategy phosphite-removal"
    takes out as much phosphite and nothing else: its salt stays.

    \b
      bathkin compare nickel-acid --horizon-h 4000 --plot compare.png
      bathkin compare nickel-acid --bleed-for orthophosphite_mol_l
      bathkin compare nickel-acid --strategy "drag-out:tank.drag_out_l_m2=0.2"

    Files given to --csv and --plot are replaced when they exist.
    """  # noqa: D301 (the mark keeps lines apart)
    check_pictures(plot)
    of = read_recipe(recipe, settings)
    if bleed_for is not None:
        if csv or plot or start:
            raise RecipeError("--bleed-for takes no --start, --csv or --plot: it is one number")
        print_bleed(of, bleed_for, as_json, quiet)
        return
    if horizon_h is not None and horizon_m2 is not None:
        raise RecipeError("compare: expected one of --horizon-h and --horizon-m2")
    of, begins = of._dated(start, "--start")
    hours = None if horizon_h is None else positive("horizon_h", horizon_h, "--horizon-h")
    area = None if horizon_m2 is None else positive("horizon_m2", horizon_m2, "--horizon-m2")
    part = None if bleed is None else positive("bleed", bleed, "--bleed")
    usual = usual_strategies(of, bleed_per_turnover=part)
    named = [text.strip() for text in others if ":" not in text]
    more = usual_strategies(of, named, part) if named else {}
    own = dict(read_strategy(text) for text in others if ":" in text)
    strategies = {**usual, **more, **own}
    reading(file for changes in strategies.values() for file in of.set(changes).files())
    found = Comparison(of, strategies, hours, area, begins)
    if as_json:
        print_json(document("compare", of, found.flags, **found.to_dict()))
    else:
        print_result(repr(found), of, found.flags, quiet)
    write_files([(csv, found.to_csv), (plot, found.plot)], as_json)


def positive(name: str, text: str, by: str) -> float:
    """A number above zero."""
    value = to_number(name, text, by)
    if not value > 0.0:
        raise RecipeError(f"{by} {text}: expected a number above zero")
    return value


def read_strategy(text: str) -> tuple[str, dict[str, float | str]]:
    """A name and its settings from NAME:PATH=VALUE,PATH=VALUE."""
    name, colon, rest = text.partition(":")
    changes: dict[str, float | str] = {}
    for part in rest.split(","):
        path, equals, value = (word.strip() for word in part.partition("="))
        if not (colon and name.strip() and path and equals and value):
            raise RecipeError(f"--strategy {text}: expected NAME:PATH=VALUE,PATH=VALUE")
        try:
            changes[path] = to_number(path, value, "--strategy")
        except RecipeError:
            changes[path] = value
    return name.strip(), changes


def print_bleed(recipe: Recipe, limit: str, as_json: bool, quiet: bool) -> None:
    """The bleed a limit needs."""
    needed = bleed_for(recipe, limit)
    if as_json:
        print_json(document("compare", recipe, recipe.flags, bleed_for=needed))
    else:
        print_result(bleed_text(needed, recipe), recipe, recipe.flags, quiet)
