"""What `bathkin today` shows and writes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from bathkin.cli.options import print_json, print_result
from bathkin.cli.outputs import echo
from bathkin.cli.tanks import Tank
from bathkin.cli.told import Told
from bathkin.core import layout
from bathkin.errors import DataError
from bathkin.life.plan import Plan
from bathkin.recipe.recipe import Recipe
from bathkin.reports.documents import document
from bathkin.reports.pages import write_pages
from bathkin.reports.tanks import in_order, line_of, tanks_text
from bathkin.reports.track_page import track_page
from bathkin.tracking.track import Track


def show_one(
    tanks: Sequence[Tank], drawn: Mapping[str, int], *, full: bool, as_json: bool, quiet: bool
) -> None:
    """The screen or the document of a single tank."""
    for of, told in _known(tanks):
        if as_json:
            values = {name: value for name, value in told.values.items() if name != "flags"}
            print_json(document("today", of, told.flags, depends_on=drawn, **values))
        else:
            print_result(told.screen, of, told.flags, quiet)


def show_several(
    tanks: Sequence[Tank], drawn: Mapping[str, int], *, full: bool, as_json: bool, quiet: bool
) -> None:
    """The overview, alarms of each, and with `full` each on its screen; or one document."""
    known = in_order(_known(tanks), lambda one: one[1].line)
    if as_json:
        each = [tank.document() for tank in tanks]
        print_json(document("today", None, [], depends_on=drawn, tanks=each))
    elif known:
        echo(tanks_text([told.line for _, told in known]))
        for _, told in known:
            for alarm in told.alarms:
                echo(layout.wrapped(f"ALARM {told.line.bath}: {alarm}", 0, 2))
        for of, told in known if full else []:
            echo()
            print_result(told.screen, of, told.flags, quiet)
    for tank in tanks:
        if tank.error is not None:
            echo(f"bathkin: error: {tank.asked}: {tank.error}", err=True)


def _known(tanks: Sequence[Tank]) -> list[tuple[Recipe, Told]]:
    pairs = [(tank.recipe, tank.told) for tank in tanks]
    return [(of, told) for of, told in pairs if of is not None and told is not None]


def pages_of(tanks: Sequence[Tank]) -> Callable[[Path], None]:
    """Writes a page for each tank, the one that must go first in front."""

    def write(path: Path) -> None:
        found: list[tuple[Track, Plan]] = [tank.followed for tank in tanks if tank.followed]
        if not found:
            raise DataError(f"{path}: no tank could be followed, so there is no page to write")
        ordered = in_order(found, lambda one: line_of(one[0]))
        keep = [file for of, _ in found for file in (*of.recipe.files(), *map(Path, of.log.files))]
        pages = [track_page(of, plan, of.plot()) for of, plan in ordered]
        write_pages(path, pages, keep=keep)

    return write
