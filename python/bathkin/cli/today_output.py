"""What `bathkin today` shows and writes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from bathkin.cli.options import print_json, print_result
from bathkin.cli.outputs import echo
from bathkin.cli.tanks import Tank
from bathkin.core import layout
from bathkin.errors import DataError
from bathkin.life.plan import Plan
from bathkin.reports.documents import document
from bathkin.reports.pages import write_pages
from bathkin.reports.tanks import in_order, tanks_text
from bathkin.reports.track import additions_text, bath_name, track_text
from bathkin.reports.track_page import track_page
from bathkin.tracking.track import Track


def show_one(
    tanks: Sequence[Tank], drawn: Mapping[str, int], *, full: bool, as_json: bool, quiet: bool
) -> None:
    """The screen or the document of a single tank."""
    for found, plan in followed(tanks):
        if as_json:
            print_json(document_of(found, plan, drawn))
        else:
            print_result(screen(found, plan), found.recipe, found.flags, quiet)


def document_of(found: Track, plan: Plan, drawn: Mapping[str, int]) -> dict[str, Any]:
    """The document of a single tank."""
    values = found.to_dict()
    values.pop("flags")
    values["next_shift"] = plan.to_dict()
    return document("today", found.recipe, found.flags, depends_on=drawn, **values)


def show_several(
    tanks: Sequence[Tank], drawn: Mapping[str, int], *, full: bool, as_json: bool, quiet: bool
) -> None:
    """The overview, alarms of each, and with `full` each on its screen; or one document."""
    known = followed(tanks)
    if as_json:
        each = [tank.document() for tank in tanks]
        print_json(document("today", None, [], depends_on=drawn, tanks=each))
    elif known:
        plans = {id(found): plan for found, plan in known}
        tracks = in_order([found for found, _ in known])
        echo(tanks_text(tracks))
        for found in tracks:
            for alarm in found.alarms:
                echo(layout.wrapped(f"ALARM {bath_name(found)}: {alarm.text}", 0, 2))
        for found in tracks if full else []:
            echo()
            print_result(screen(found, plans[id(found)]), found.recipe, found.flags, quiet)
    for tank in tanks:
        if tank.error is not None:
            echo(f"bathkin: error: {tank.asked}: {tank.error}", err=True)


def pages_of(tanks: Sequence[Tank]) -> Callable[[Path], None]:
    """Writes a page for each tank, the one that must go first in front."""

    def write(path: Path) -> None:
        plans = {id(found): plan for found, plan in followed(tanks)}
        tracks = in_order([found for found, _ in followed(tanks)])
        if not tracks:
            raise DataError(f"{path}: no tank could be followed, so there is no page to write")
        keep = [file for found in tracks for file in (*found.recipe.files(), Path(found.log.file))]
        pages = [track_page(found, plans[id(found)], found.plot()) for found in tracks]
        write_pages(path, pages, keep=keep)

    return write


def followed(tanks: Sequence[Tank]) -> list[tuple[Track, Plan]]:
    """Those that could be followed."""
    pairs = [(tank.track, tank.plan) for tank in tanks]
    return [(found, plan) for found, plan in pairs if found is not None and plan is not None]


def screen(found: Track, plan: Plan) -> str:
    """A tank on one screen."""
    return f"{track_text(found)}\n\n{additions_text(plan)}"
