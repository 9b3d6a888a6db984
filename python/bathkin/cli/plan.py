"""`bathkin plan`: what to add in the coming shift."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from bathkin.cli.options import print_json, print_result, read_recipe, recipe_options
from bathkin.cli.outputs import Command, check_pictures, output_path, table_path, write_files
from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.life.plan import plan as make_plan
from bathkin.reports.documents import document
from bathkin.reports.plan import plan_text


@click.command(cls=Command)
@recipe_options
@click.option("--shift-h", default="8", show_default=True, help="Length of the shift, h.")
@click.option(
    "--now",
    "analyses",
    multiple=True,
    metavar="NAME=VALUE",
    help="The bath as analysed: nickel_g_l=5.6, ph=4.7 (ph_25c of a cooled sample), turnovers=3.2,"
    ' any substance of `bathkin reagents`, "nickel_g_l=95 %" of the set-point. Repeatable.',
)
@click.option("--sure", is_flag=True, help="Take analyses far off their set-points as they stand.")
@click.option("--round-ml", help="Smallest step of the measure, mL: doses are whole steps.")
@click.option(
    "--calendar",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Racks of the shift, a CSV file with hours from its start.",
)
@click.option("--csv", type=table_path, help="Write the additions to this CSV file.")
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
def plan(
    recipe: str,
    settings: Sequence[str],
    shift_h: str,
    analyses: Sequence[str],
    sure: bool,
    round_ml: str | None,
    calendar: Path | None,
    csv: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Dosing plan: what to add in the coming shift.

    What to add, when, in mL, from the policies of the recipe and the bath as it stands: fresh, or
    as --now says. Turnovers (or else the by-product) age the bath by its life up to there; contents
    and pH are then set to the analyses. An analysis a quarter off its set-point, or half a pH, is
    flagged; from twice up, below a fifth, or 1.5 pH off it is refused, unless --sure.

    Example: bathkin plan nickel-acid --now nickel_g_l=5.6 --now ph=4.7 --round-ml 50

    Files given to --csv and --plot are replaced when they exist.
    """
    check_pictures(plot)
    of = read_recipe(recipe, settings)
    found = make_plan(
        of,
        to_number("shift_h", shift_h, "--shift-h"),
        dict(read_analysis(text) for text in analyses),
        None if round_ml is None else to_number("round_ml", round_ml, "--round-ml"),
        calendar,
        "--now",
        sure=sure,
    )
    if as_json:
        values = found.to_dict()
        values.pop("flags")
        print_json(document("plan", of, found.flags, **values))
    else:
        print_result(plan_text(found, of), of, found.flags, quiet)
    write_files([(csv, found.to_csv), (plot, found.plot)], as_json)


def read_analysis(text: str) -> tuple[str, str]:
    """A name and its value from NAME=VALUE."""
    name, equals, value = (part.strip() for part in text.partition("="))
    if not equals or not name or not value:
        raise RecipeError(f"--now {text}: expected NAME=VALUE, such as nickel_g_l=5.6")
    return name, value
