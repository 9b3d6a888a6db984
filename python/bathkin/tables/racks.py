"""Racks that stand in a log: when each went in and came out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime, timedelta

from bathkin import _core
from bathkin.core import layout
from bathkin.core.dates import of_parts
from bathkin.tables.cells import is_empty, refuse
from bathkin.tables.headings import Heading
from bathkin.tables.problems import Problems
from bathkin.tables.sheets import Assumption
from bathkin.tables.times import When

_CLOCK = re.compile(r"([01]?\d|2[0-3])[:.h]([0-5]\d)(?::[0-5]\d)?")
_IN, _OUT = "rack_in_h", "rack_out_h"


def put_racks(
    heads: Sequence[Heading],
    cells: Sequence[Sequence[str]],
    said: When,
    columns: dict[str, list[float | None]],
    report: list[Assumption],
    problems: Problems,
) -> None:
    """When racks went in and came out, h, as the rows count theirs.

    Written as the times of the rows, or by the clock alone (`07:10`): `out` is the last such time
    at or before its row, `in` the last one before `out`; where that lies before the row above, the
    rack hung on after its row.
    """
    for name in (_OUT, _IN):
        at = next((at for at, head in enumerate(heads) if head.name == name), None)
        if at is None:
            continue
        hours: list[float | None] = [None] * len(cells)
        by_clock = False
        for row, texts in enumerate(cells):
            if is_empty(texts[at]):
                continue
            with problems.gathered():
                hours[row], of_clock = _hours(
                    problems.place, said, heads[at].text, row, texts[at], columns
                )
                by_clock |= of_clock
        columns[name] = hours
        if by_clock:
            first = next(texts[at] for texts in cells if not is_empty(texts[at]))
            effect = "on the day of its row; a rack that hung over midnight on the day before"
            report.append(Assumption(None, heads[at].text, first, "a time of the day", effect))


def _hours(
    place: str,
    said: When,
    text: str,
    row: int,
    cell: str,
    columns: dict[str, list[float | None]],
) -> tuple[float, bool]:
    """Hours as those of the rows, and whether the cell has a time of the day alone."""
    times, outs = columns["time_h"], columns.get(_OUT)
    clock = _CLOCK.fullmatch(cell.strip())
    if said.stamped:
        moments, _, _ = _core.moments(place, text, [*said.cells, *([] if clock else [cell])])
        written = [None if moment is None else of_parts(moment) for moment in moments]
        begun = next(
            ((at, h) for at, h in zip(written, times, strict=False) if at and h is not None), None
        )
        own = times[row]
        if begun is not None and clock and own is not None:
            came_out = None if outs is None else outs[row]
            above = times[row - 1] if row and came_out is None else None
            return _by_clock(clock, begun, own if came_out is None else came_out, above), True
        if begun is not None and not clock and written[-1] is not None:
            return begun[1] + (written[-1] - begun[0]).total_seconds() / 3600.0, False
    number = None if said.stamped else _core.plain_number(cell.replace(",", "."))
    if number is None:
        expected = "a time written as those of the rows"
        expected += ", or of the day, such as 07:10" if said.stamped else ", h"
        refuse(place, row + 1, text, cell, expected)
    return number, False


def _by_clock(
    clock: re.Match[str], begun: tuple[datetime, float], latest: float, above: float | None
) -> float:
    """The last such time of the day at or before `latest`, h; not before the row above it."""
    last = begun[0] + timedelta(hours=latest - begun[1])
    then = last.replace(hour=int(clock[1]), minute=int(clock[2]), second=0, microsecond=0)
    then -= timedelta(days=1) if then > last else timedelta()
    hours = begun[1] + (then - begun[0]).total_seconds() / 3600.0
    return hours if above is None or hours >= above - 1e-9 else hours + 24.0


def check_intervals(
    heads: Sequence[Heading],
    cells: Sequence[Sequence[str]],
    columns: dict[str, list[float | None]],
    report: list[Assumption],
    problems: Problems,
) -> None:
    """Refuses a plating time longer than its interval; the first row has none.

    A rack that says when it went in or came out may have hung for longer.
    """
    hours = columns["time_h"]
    hung = any(head.kind == "hung" for head in heads)
    for at, head in enumerate(heads):
        if head.kind != "interval":
            continue
        if columns[head.name][0]:
            effect = "there is no row before it"
            report.append(Assumption(1, head.text, cells[0][at], "it stands", effect))
        if head.name != "plating_min" or hung:
            continue
        for row, minutes in enumerate(columns["plating_min"][1:], start=1):
            before, now = hours[row - 1], hours[row]
            since = 60.0 * (now - before) if now is not None and before is not None else 0.0
            # Rows out of order are told by themselves.
            if minutes is not None and since > 0.0 and minutes > since * (1.0 + 1e-9):
                expected = f"at most the {layout.number(since)} min since the row before"
                with problems.gathered():
                    refuse(problems.place, row + 1, head.text, cells[row][at], expected)
