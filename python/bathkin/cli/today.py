"""`bathkin today`: where baths stand, what is odd in their logs, and when they must go."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from bathkin.cli.options import (
    print_json,
    print_result,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import Command, check_pictures, echo, output_path, table_path, write_files
from bathkin.cli.tanks import Tank, asked_for, each_followed, exit_code, recipe_and_log
from bathkin.core import layout
from bathkin.core.arguments import MOST_REPEATS
from bathkin.core.units import to_number
from bathkin.life.plan import Plan
from bathkin.reports.documents import document
from bathkin.reports.inputs import ASKED
from bathkin.reports.tanks import in_order, tanks_text
from bathkin.reports.track import additions_text, bath_name, track_text
from bathkin.tracking.track import Track, track


@click.command(cls=Command)
@recipe_options
@click.argument("more", nargs=-1, metavar="[LOG | RECIPE...]")
@click.option("--full", is_flag=True, help="Of several tanks: each on a screen below the overview.")
@click.option(
    "--members",
    type=click.IntRange(1, MOST_REPEATS),
    default=500,
    show_default=True,
    help="Baths that go on to their first limit.",
)
@click.option(
    "--seed", type=click.IntRange(min=0), default=1, show_default=True, help="Of the draws."
)
@click.option("--turnovers", help="Metal turnovers before the first row: the bath was used.")
@click.option("--used", is_flag=True, help="It was used, nobody knows how long.")
@click.option(
    "--accept",
    multiple=True,
    type=click.IntRange(min=1),
    metavar="ROW",
    help="Put in what the finding of this row says: the forgotten dose, the slip. Repeatable.",
)
@click.option("--rival-ageing", is_flag=True, help="Weigh an exponential ageing against it.")
@click.option("--shift-h", default="8", show_default=True, help="Length of the next shift, h.")
@click.option("--csv", type=table_path, help="Write the rows as followed to this CSV file.")
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
def today(
    recipe: str,
    settings: Sequence[str],
    more: tuple[str, ...],
    full: bool,
    members: int,
    seed: int,
    turnovers: str | None,
    used: bool,
    accept: tuple[int, ...],
    rival_ageing: bool,
    shift_h: str,
    csv: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
) -> int:
    """Where baths stand today, what is odd in their logs, and when they must go.

    Follows the bath row by row with the model of RECIPE: additions as written, readings with their
    errors. Shows how it stands with its spread, findings in the log, the date at which the first
    limit comes as P10, P50 and P90, and what the next shift takes. LOG is the one given, or the one
    that the recipe names ([log] file = "log.csv"). Several recipes, each with its log: an overview,
    the bath that must go first on top.

    Exit code 4 where an alarm stands ([alarms] of the recipe), so that a scheduled job can act; the
    result is complete.

    Examples: bathkin today nickel-acid log.csv --plot today.png; bathkin today tanks/*.toml
    """
    check_pictures(plot)
    names, log = asked_for(recipe, more)
    several = len(names) > 1
    used_by = {"--turnovers": turnovers, "--used": used, "--accept": accept}
    for option, value in {**used_by, "--csv": csv, "--plot": plot}.items():
        if several and value:
            raise click.UsageError(
                f"{option} is of one bath: expected one recipe, not {len(names)}"
            )
    age = None if turnovers is None else to_number("turnovers", turnovers, "--turnovers")
    hours = to_number("shift_h", shift_h, "--shift-h")

    def follow(name: str) -> tuple[Track, Plan]:
        of, file = recipe_and_log(name, settings, log)
        asked = ASKED.get()
        if not several and asked is not None:
            asked.options["more"] = [str(file)]
        found = track(
            of,
            file,
            members=members,
            seed=seed,
            turnovers=age,
            used=used,
            accept=accept,
            rival_ageing=rival_ageing,
            progress=shows_progress(as_json, quiet),
        )
        return found, found.plan(hours)

    drawn = {"seed": seed, "members": members}
    if several:
        return _several(each_followed(names, follow), full, drawn, as_json, quiet)
    found, plan = follow(recipe)
    if as_json:
        values = found.to_dict()
        values.pop("flags")
        values["next_shift"] = plan.to_dict()
        print_json(document("today", found.recipe, found.flags, depends_on=drawn, **values))
    else:
        print_result(_screen(found, plan), found.recipe, found.flags, quiet)
    write_files([(csv, found.to_csv), (plot, found.plot)], as_json)
    return exit_code([Tank(recipe, found, plan)])


def _screen(found: Track, plan: Plan) -> str:
    return f"{track_text(found)}\n\n{additions_text(plan)}"


def _several(
    tanks: Sequence[Tank], full: bool, drawn: dict[str, int], as_json: bool, quiet: bool
) -> int:
    """The overview, alarms of each, and with `full` each on its screen."""
    if as_json:
        each = [tank.document() for tank in tanks]
        print_json(document("today", None, [], depends_on=drawn, tanks=each))
    followed = {id(tank.track): tank for tank in tanks if tank.track is not None}
    if followed and not as_json:
        tracks = in_order([tank.track for tank in tanks if tank.track is not None])
        echo(tanks_text(tracks))
        for found in tracks:
            for alarm in found.alarms:
                echo(layout.wrapped(f"ALARM {bath_name(found)}: {alarm.text}", 0, 2))
        for found in tracks if full else []:
            plan = followed[id(found)].plan
            if plan is not None:
                echo()
                print_result(_screen(found, plan), found.recipe, found.flags, quiet)
    for tank in tanks:
        if tank.error is not None:
            echo(f"bathkin: error: {tank.asked}: {tank.error}", err=True)
    return exit_code(tanks)
