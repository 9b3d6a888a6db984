"""`bathkin today`: where baths stand, what is odd in their logs, and when they must go."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import click

from bathkin.cli.analyses import read_analysis
from bathkin.cli.kept import Keeping
from bathkin.cli.options import recipe_options, shows_progress
from bathkin.cli.outputs import (
    Command,
    check_pictures,
    kept_path,
    output_path,
    report_path,
    table_path,
    write_files,
)
from bathkin.cli.tanks import asked_for, each_told, exit_code
from bathkin.cli.today_output import pages_of, show_one, show_several
from bathkin.cli.today_run import Asking
from bathkin.cli.watch import watched
from bathkin.core.arguments import MOST_REPEATS
from bathkin.core.units import to_number
from bathkin.reports.pages import check_report
from bathkin.tracking.record import WORK


@click.command(cls=Command)
@recipe_options
@click.argument("more", nargs=-1, metavar="[LOG... | RECIPE...]")
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
    "--now",
    "analyses",
    multiple=True,
    metavar="NAME=VALUE",
    help="Analysed since the last row: orthophosphite_mol_l=0.9, specific_gravity=1.17, nickel_g_l"
    " ... With --used it tells the age. Repeatable.",
)
@click.option(
    "--accept",
    multiple=True,
    type=click.IntRange(min=1),
    metavar="ROW",
    help="Put in what the finding of this row says: the forgotten dose, the slip. Repeatable.",
)
@click.option("--rival-ageing", is_flag=True, help="Weigh an exponential ageing against it.")
@click.option(
    "--work",
    type=click.Choice(WORK),
    default=WORK[0],
    show_default=True,
    help="The work to come: redrawn from the log, or what the recipe plans.",
)
@click.option(
    "--hold",
    multiple=True,
    metavar="PATH",
    help="Hold this number of the recipe, or all of this table. Its constants and numbers of"
    " laws are drawn within their widths as far as the log has not told them. Repeatable.",
)
@click.option(
    "--draw",
    multiple=True,
    metavar="PATH",
    help="Draw this number within its range, too. Repeatable.",
)
@click.option("--shift-h", default="8", show_default=True, help="Length of the next shift, h.")
@click.option(
    "--report", type=report_path, help="Write a page for each tank to this file (html, pdf)."
)
@click.option("--watch", is_flag=True, help="Run again when a log or recipe is saved; Ctrl-C ends.")
@click.option(
    "--keep",
    type=kept_path,
    help="Keep what is said of each bath in this file: at once where nothing changed since.",
)
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
    analyses: tuple[str, ...],
    accept: tuple[int, ...],
    rival_ageing: bool,
    work: str,
    hold: tuple[str, ...],
    draw: tuple[str, ...],
    shift_h: str,
    report: Path | None,
    watch: bool,
    keep: Path | None,
    csv: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
) -> int:
    """Where baths stand today, what is odd in their logs, and when they must go.

    Follows the bath row by row with the model of RECIPE: additions as written, readings with their
    errors. Shows how it stands with its spread, findings in the log, the date at which the first
    limit comes as P10, P50 and P90, and what the next shift takes. LOG is the one given, or the one
    that the recipe names ([log] file = "log.csv"). Several LOGs behind one recipe are files of this
    one bath, joined by date. Several recipes, each with its log: an overview, the bath that must go
    first on top.

    Exit code 4 where an alarm stands ([alarms] of the recipe), so that a scheduled job can act; the
    result is complete.
    """
    check_pictures(plot)
    check_report(report)
    names, logs = asked_for(recipe, more)
    several = len(names) > 1
    used_by = {"--turnovers": turnovers, "--used": used, "--now": analyses, "--accept": accept}
    for option, value in {**used_by, "--csv": csv, "--plot": plot}.items():
        if several and value:
            raise click.UsageError(
                f"{option} is of one bath: expected one recipe, not {len(names)}"
            )
    age = None if turnovers is None else to_number("turnovers", turnovers, "--turnovers")
    hours = to_number("shift_h", shift_h, "--shift-h")
    options = {
        "members": members,
        "seed": seed,
        "turnovers": age,
        "used": used,
        "now": dict(read_analysis(text) for text in analyses),
        "accept": accept,
        "rival_ageing": rival_ageing,
        "work": work,
        "hold": hold,
        "draw": draw,
    }
    asked = Asking(settings, logs, options, shows_progress(as_json, quiet), hours, several)
    drawn = {"seed": seed, "members": members}
    shown = {"full": full, "as_json": as_json, "quiet": quiet}

    def once() -> int:
        kept = None if keep is None else Keeping(keep)
        anew = any(path is not None for path in (report, csv, plot))
        if several:
            tanks = each_told(names, lambda name: asked.tell(name, kept, anew=anew))
            show_several(tanks, drawn, **shown)
        else:
            tanks = [asked.tell(recipe, kept, anew=anew)]
            show_one(tanks, drawn, **shown)
        if kept is not None:
            kept.write()
        outputs: list[tuple[Path | None, Callable[[Path], object]]] = [(report, pages_of(tanks))]
        if tanks[0].followed is not None:
            # Refused above for several.
            outputs += [(csv, tanks[0].followed[0].to_csv), (plot, tanks[0].followed[0].plot)]
        write_files(outputs, as_json)
        return exit_code(tanks)

    if not watch:
        return once()
    watched(once, asked.files)
    return 0
