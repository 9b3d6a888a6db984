"""`bathkin plan`: what to add in the coming shift."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from bathkin.cli.analyses import read_analysis
from bathkin.cli.options import (
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
    report_path,
    table_path,
    write_files,
)
from bathkin.core.units import to_number
from bathkin.life.plan import Plan, start_of_shift
from bathkin.life.plan import plan as make_plan
from bathkin.recipe.recipe import Recipe
from bathkin.reports.documents import document
from bathkin.reports.measures import mark_ml
from bathkin.reports.pages import check_report, write_pages
from bathkin.reports.plan import plan_text
from bathkin.reports.shift import Shift, shift_text
from bathkin.reports.shift_page import shift_page
from bathkin.reports.track import bath_name
from bathkin.tracking.track import Track, as_log, track

# Members that tell how far off an analysis is. A plan without one needs the mean alone.
_MEMBERS = 100


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
@click.option("--sure", is_flag=True, help="Take analyses far off as they stand.")
@click.option("--round-ml", help="Smallest step of the measure, mL: doses are whole steps.")
@click.option(
    "--calendar",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Racks of the shift, a CSV file with hours from its start.",
)
@click.option(
    "--from",
    "logs",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="LOG",
    help="The bath as this log tells it: a shift sheet. Repeatable: files of one bath.",
)
@click.option("--start", metavar="DATE", help='When the shift begins: "2026-03-02 06:00".')
@click.option("--litres", "unit", flag_value="L", help="A shift sheet in litres.")
@click.option("--gallons", "unit", flag_value="gal", help="A shift sheet in US gallons.")
@click.option("--report", type=report_path, help="Write the sheet to this file (html, pdf).")
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
    logs: tuple[Path, ...],
    start: str | None,
    unit: str | None,
    report: Path | None,
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

    With --from the bath is as its log tells it, and an analysis far off that is refused with the
    slip it may be. --from, --start, --litres, --gallons and --report give a sheet for the shift:
    times (or start, middle and end), volumes in steps that can be measured, pumps, water, racks,
    room to sign.

    Files given to --report, --csv and --plot are replaced when they exist.
    """
    check_pictures(plot)
    check_report(report)
    of = read_recipe(recipe, settings)
    begins = None if start is None else start_of_shift(start)
    followed = _followed(of, logs, bool(analyses), shows_progress(as_json, quiet)) if logs else None
    wants_sheet = bool(logs) or begins is not None or unit is not None or report is not None
    now = dict(read_analysis(text) for text in analyses)
    hours = to_number("shift_h", shift_h, "--shift-h")

    def planned(step_ml: float | None) -> Plan:
        if followed is not None:
            return followed.plan(hours, now, step_ml, calendar, sure=sure, start=begins)
        return make_plan(of, hours, now, step_ml, calendar, "--now", sure=sure, start=begins)

    step = None if round_ml is None else to_number("round_ml", round_ml, "--round-ml")
    found = (
        planned(step) if step is not None or not wants_sheet else _measured(planned, unit or "L")
    )
    sheet = Shift(_name(of, followed), of, found, unit or "L", begins, _known(followed))
    of_log = [] if followed is None else [one for one in followed.flags if one not in found.flags]
    flags = [*found.flags, *of_log]
    if as_json:
        values: dict[str, Any] = found.to_dict()
        values.pop("flags")
        if wants_sheet:
            values["shift_start"] = None if begins is None else f"{begins:%Y-%m-%d %H:%M}"
        print_json(document("plan", of, flags, **values))
    else:
        text = shift_text(sheet) if wants_sheet else plan_text(found, of)
        print_result(text, of, flags, quiet)

    def write(path: Path) -> None:
        write_pages(path, [shift_page(sheet)], keep=of.files())

    write_files([(report, write), (csv, found.to_csv), (plot, found.plot)], as_json)


def _followed(of: Recipe, logs: Sequence[Path], analysed: bool, progress: bool) -> Track:
    members = _MEMBERS if analysed else 1
    return track(of, as_log(logs, of), members=members, progress=progress)


def _measured(planned: Callable[[float | None], Plan], unit: str) -> Plan:
    """The plan in steps of a jug that suits its doses."""
    exact = planned(None)
    doses = [one.exact_ml for one in exact.additions if one.pump_ml_h is None]
    return planned(mark_ml(doses, unit)) if doses else exact


def _known(followed: Track | None) -> str:
    if followed is None:
        return ""
    row = followed.rows[-1].row
    when = f", {followed.now}" if followed.now else ""
    return f" (as {followed.log.file} tells to row {row}{when})"


def _name(of: Recipe, followed: Track | None) -> str:
    return of.name if followed is None else bath_name(followed)
