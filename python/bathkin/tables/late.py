"""Rows that say something of other rows: results that came in later, and marks."""

from __future__ import annotations

from collections.abc import Sequence

from bathkin import _core
from bathkin.tables.cells import is_empty, refuse
from bathkin.tables.headings import Heading
from bathkin.tables.problems import Problems
from bathkin.tables.sheets import Assumption
from bathkin.tables.times import When

_YES = frozenset({"yes", "y", "x", "ja", "oui", "si", "true", "ok", "done"})
_NO = frozenset({"no", "n", "nein", "non", "false"})


def marks(head: Heading, cells: Sequence[str], problems: Problems) -> list[float | None]:
    """1 where a cell says yes (`yes`, `x`, `1`, or the offset of the buffer), else nothing."""
    found: list[float | None] = []
    for row, cell in enumerate(cells, start=1):
        plain = cell.strip().lower()
        number = _core.plain_number(plain.replace(",", "."))
        said = plain in _YES or (number is not None and number != 0.0)
        if not (said or is_empty(cell) or plain in _NO or number == 0.0):
            with problems.gathered():
                refuse(problems.place, row, head.text, cell, "yes, x or 1, or nothing")
        found.append(1.0 if said else None)
    return found


def put_at_their_samples(
    heads: Sequence[Heading],
    cells: Sequence[Sequence[str]],
    said: When,
    columns: dict[str, list[float | None]],
    report: list[Assumption],
    problems: Problems,
) -> None:
    """Readings of rows that say when their sample was taken go to the last row at or before that.

    Times are written as those of the rows. A sample before the first row, or after the row its
    result stands in, is a problem, and so is a row that has a reading of the same already.
    """
    at = next((at for at, head in enumerate(heads) if head.kind == "sampled"), None)
    if at is None:
        return
    text, written = heads[at].text, [row[at] for row in cells]
    hours = columns["time_h"]
    readings = [
        name
        for head in heads
        if head.kind in {"reading", "sigma"}
        for name in (head.name, f"below_{head.name}")
        if name in columns
    ]
    for row, cell in enumerate(written):
        if is_empty(cell):
            continue
        with problems.gathered():
            taken = _hours(problems, said, text, row, cell, hours)
            own = hours[row]
            before = [of for of, hour in enumerate(hours[: row + 1]) if _is_at(hour, taken)]
            if own is None or taken > own + 1e-9 or not before:
                expected = "a time from the first row to this one, written as those of the rows"
                refuse(problems.place, row + 1, text, cell, expected)
            to = before[-1]
            if to == row:
                continue
            moved = [name for name in readings if columns[name][row] is not None]
            for name in moved:
                if columns[name][to] is not None:
                    expected = f"the time of a row without {name}: row {to + 1} has one"
                    refuse(problems.place, row + 1, text, cell, expected)
                columns[name][to], columns[name][row] = columns[name][row], None
            effect = f"{', '.join(moved) or 'nothing'} read at that row"
            report.append(Assumption(row + 1, text, cell, f"row {to + 1}", effect))


def _is_at(hour: float | None, taken: float) -> bool:
    return hour is not None and hour <= taken + 1e-9


def _hours(
    problems: Problems,
    said: When,
    text: str,
    row: int,
    cell: str,
    hours: Sequence[float | None],
) -> float:
    """Hours from the first row to a sample, from a cell written as the times of the rows."""
    expected = "a time written as those of the rows"
    if not said.stamped:
        number = _core.plain_number(cell.replace(",", "."))
        if number is None:
            refuse(problems.place, row + 1, text, cell, f"{expected}, h")
        return number
    moments, _, _ = _core.moments(problems.place, text, [*said.cells, cell])
    taken, first = moments[-1], next((one for one in moments if one is not None), None)
    if taken is None or first is None:
        refuse(problems.place, row + 1, text, cell, expected)
    from datetime import datetime

    begun = next(hour for hour in hours if hour is not None)
    return begun + (datetime(*taken[:7]) - datetime(*first[:7])).total_seconds() / 3600.0
