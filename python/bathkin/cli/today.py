"""`bathkin today`: where baths stand, what is odd in their logs, and when they must go."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from bathkin.cli.options import (
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import Command, check_pictures, output_path, table_path, write_files
from bathkin.core.arguments import MOST_REPEATS
from bathkin.core.units import to_number
from bathkin.reports.documents import document
from bathkin.reports.track import additions_text, track_text
from bathkin.tables.logs import read_log
from bathkin.tracking.track import track

ALARM = 4


@click.command(cls=Command)
@recipe_options
@click.argument("log", type=click.Path(path_type=Path))
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
    log: Path,
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
    """Where the bath of LOG stands today, what is odd, and when it must go.

    Follows the bath row by row with the model of RECIPE: additions as written, readings with their
    errors. Shows how it stands with its spread, findings in the log, the date at which the first
    limit comes as P10, P50 and P90, and what the next shift takes.

    Exit code 4 where an alarm stands ([alarms] of the recipe), so that a scheduled job can act; the
    result is complete.

    Example: bathkin today nickel-acid log.csv --plot today.png
    """
    check_pictures(plot)
    of = read_recipe(recipe, settings)
    sheet = read_log(log)
    found = track(
        of,
        sheet,
        members=members,
        seed=seed,
        turnovers=None if turnovers is None else to_number("turnovers", turnovers, "--turnovers"),
        used=used,
        accept=accept,
        rival_ageing=rival_ageing,
        progress=shows_progress(as_json, quiet),
    )
    plan = found.plan(to_number("shift_h", shift_h, "--shift-h"))
    if as_json:
        values = found.to_dict()
        values.pop("flags")
        asked = {"seed": seed, "members": members}
        values["next_shift"] = plan.to_dict()
        print_json(document("today", of, found.flags, depends_on=asked, **values))
    else:
        text = f"{track_text(found)}\n\n{additions_text(plan)}"
        print_result(text, of, found.flags, quiet)
    write_files([(csv, found.to_csv), (plot, found.plot)], as_json)
    return ALARM if found.alarms else 0
