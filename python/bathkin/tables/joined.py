"""Several logs of one bath as one: rows by date, what stands in two of them held side by side."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import timedelta
from typing import NamedTuple

from bathkin.core.numbers import shown
from bathkin.errors import DataError
from bathkin.tables.logs import Log
from bathkin.tables.problems import together
from bathkin.tables.sheets import Assumption

# Rows closer than this, in hours, are of one time.
_SAME_H = 1.0 / 3600.0
# Columns that count hours from the first row.
_HOURS = ("time_h", "rack_in_h", "rack_out_h")
# Work since the row before; what says how long or how thick stands beside it.
_MEAN, _AREA, _MINUTES, _THICKNESS = "area_in_tank_dm2", "area_dm2", "plating_min", "thickness_um"
_MINUTES_H = 60.0


class _Row(NamedTuple):
    """A row of one of the logs, with its time by the clock of all.

    Attributes:
        hours: Hours from the first row of all.
        log: Which log.
        at: Which row of it, from 0.
    """

    hours: float
    log: int
    at: int


def join_logs(logs: Sequence[Log]) -> Log:
    """One log of several files of one bath: the rows of all, by date.

    A row of another file that has the same time is the same row: what only one of them has is
    taken, what both have must be the same. `report` of the log says which row came from where.
    Work since the row before, where a row of another file stands in between, is divided by it.

    Args:
        logs: Logs from `read_log`, each with dates.

    Raises:
        DataError: For a log without dates, a file given twice, two values for the same in rows of
            one time, with file, row, column and both values; work of two files at the same time.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> doses = bk.read_log(pd.DataFrame({  # invented
        ...     "when": ["2026-03-02 06:00", "2026-03-02 14:00"],
        ...     "area in tank (dm2)": [0, 200], "metal added (L)": [0, 5],
        ... }))
        >>> analyses = bk.read_log(pd.DataFrame({
        ...     "when": ["2026-03-02 06:00", "2026-03-02 10:00"], "nickel (g/L)": [6.0, 5.4],
        ... }))
        >>> log = bk.join_logs([doses, analyses])
        >>> log.columns["time_h"], log.columns["nickel_g_l"]
        ([0.0, 4.0, 8.0], [6.0, 5.4, None])
        >>> log.columns["area_in_tank_dm2"]
        [0.0, 200.0, 200.0]
    """
    if len(logs) == 1:
        return logs[0]
    starts = _starts(logs)
    begun = min(starts)
    offsets = [(start - begun).total_seconds() / 3600.0 for start in starts]
    rows = sorted(
        _Row(offsets[log] + hour, log, at)
        for log, one in enumerate(logs)
        for at, hour in enumerate(one.columns["time_h"])
        if hour is not None
    )
    groups = _of_one_time(rows)
    wrong: list[DataError] = []
    columns = _columns(logs, groups, offsets, wrong)
    place = " + ".join(log.file for log in logs)
    _divide_work(logs, groups, columns, wrong)
    if wrong:
        raise together(place, wrong)
    report = _report(logs, groups)
    notes = {
        name: [_words(logs, group, name) for group in groups]
        for name in dict.fromkeys(name for log in logs for name in log.notes)
    }
    files = [file for log in logs for file in log.files]
    first = logs[starts.index(begun)].start
    return Log(place, range(1, len(groups) + 1), columns, notes, report, first, files)


def _starts(logs: Sequence[Log]) -> list[timedelta]:
    """When each begins, from 1970 by its own clock."""
    named = [os.path.realpath(log.file) for log in logs]
    for at, log in enumerate(logs):
        if os.path.isfile(log.file) and named[at] in named[:at]:
            raise DataError(f"{log.file}: given twice: expected each file of a bath once")
        if log.start is None:
            expected = "expected dates in each of several logs of one bath, to put rows in order"
            raise DataError(f"{log.file}: its rows have hours and no dates: {expected}")
    clocks = {log.start.utcoffset() for log in logs if log.start is not None}
    if len(clocks) > 1:
        files = ", ".join(log.file for log in logs)
        raise DataError(f"{files}: times with different offsets: expected one clock for all")
    return [timedelta(seconds=log.start_s or 0.0) for log in logs]


def _of_one_time(rows: Sequence[_Row]) -> list[list[_Row]]:
    """Rows of one time together."""
    groups: list[list[_Row]] = []
    for row in rows:
        if groups and row.hours - groups[-1][0].hours < _SAME_H:
            groups[-1].append(row)
        else:
            groups.append([row])
    return groups


def _columns(
    logs: Sequence[Log],
    groups: Sequence[Sequence[_Row]],
    offsets: Sequence[float],
    wrong: list[DataError],
) -> dict[str, list[float | None]]:
    """Every column of any of them; what was not added is nothing."""
    poured = {name for log in logs for name in log.amounts() if name not in (_AREA, _MEAN)}
    names = dict.fromkeys(name for log in logs for name in log.columns)
    columns: dict[str, list[float | None]] = {"time_h": [group[0].hours for group in groups]}
    for name in names:
        if name == "time_h":
            continue
        cells = []
        for group in groups:
            found: list[tuple[float, _Row]] = []
            for row in group:
                cell = logs[row.log].columns.get(name, [None] * (row.at + 1))[row.at]
                # An empty cell of an addition is read as nothing.
                if cell is not None and not (name in poured and cell == 0.0):
                    found.append((cell + (offsets[row.log] if name in _HOURS else 0.0), row))
            _refuse_others(logs, name, found, wrong)
            nothing = 0.0 if name in poured else None
            cells.append(found[0][0] if found else nothing)
        columns[name] = cells
    return columns


def _refuse_others(
    logs: Sequence[Log], name: str, found: Sequence[tuple[float, _Row]], wrong: list[DataError]
) -> None:
    """Refuses a value that another file has otherwise for the same time."""
    for value, row in found[1:]:
        first, of = found[0]
        if value == first:
            continue
        other = logs[row.log]
        known = f"{logs[of.log].file}, row {logs[of.log].rows[of.at]}, has {first:g}"
        expected = f"{known} at the same time: expected one of the two, or another time"
        number = other.rows[row.at]
        message = f"{other.file}: row {number}, {name} = {value:g}: {expected}"
        wrong.append(DataError(message, row=number, column=name, raw=shown(value)))


def _divide_work(
    logs: Sequence[Log],
    groups: Sequence[Sequence[_Row]],
    columns: dict[str, list[float | None]],
    wrong: list[DataError],
) -> None:
    """Work since the row before of its own file goes on over rows of other files in between."""
    place = {(row.log, row.at): number for number, group in enumerate(groups) for row in group}
    for number, log in enumerate(logs):
        for at in range(1, len(log)):
            before, here = place[number, at - 1], place[number, at]
            if here == before + 1 or not _since_the_row_before(log, at):
                continue
            others = [
                between
                for between in range(before + 1, here)
                if any(columns[name][between] for name in (_MEAN, _AREA) if name in columns)
            ]
            if others:
                row = groups[others[0]][0]
                kept = logs[row.log].rows[row.at]
                expected = (
                    f"{log.file}, row {log.rows[at]}, has work at that time: expected the work of a"
                    " bath in one file, or in and out of each rack"
                )
                wrong.append(DataError(f"{logs[row.log].file}: row {kept}: {expected}", row=kept))
                return
            _divide(columns, before, here)


def _since_the_row_before(log: Log, at: int) -> bool:
    """Whether a row has work, and no time of its own for it."""
    has = {name: cells[at] for name, cells in log.columns.items()}
    own_time = has.get("rack_in_h") is not None or has.get("rack_out_h") is not None
    return bool(has.get(_MEAN) or has.get(_AREA)) and not own_time


def _divide(columns: dict[str, list[float | None]], before: int, here: int) -> None:
    """Divides the work of a row among it and the rows since another one, by time."""
    hours = [0.0 if hour is None else hour for hour in columns["time_h"]]
    mean, area, minutes, thickness = (
        columns[name][here] if name in columns else None
        for name in (_MEAN, _AREA, _MINUTES, _THICKNESS)
    )
    for at in range(before + 1, here + 1):
        length_h = hours[at] - hours[at - 1]
        if mean:
            columns[_MEAN][at] = mean
        elif area and minutes is not None:
            # It hung from the row before on.
            left = minutes - _MINUTES_H * (hours[at - 1] - hours[before])
            columns[_MINUTES][at] = min(max(left, 0.0), _MINUTES_H * length_h)
            columns[_AREA][at] = area if left > 0.0 else 0.0
        elif area and thickness is not None:
            columns[_AREA][at] = area * length_h / (hours[here] - hours[before])
            columns[_THICKNESS][at] = thickness


def _report(logs: Sequence[Log], groups: Sequence[Sequence[_Row]]) -> list[Assumption]:
    """Where rows came from, rows that are one, and all that was assumed of each."""
    report: list[Assumption] = []
    joined = {(row.log, row.at): number for number, group in enumerate(groups, 1) for row in group}
    for first, last in _runs(groups):
        of, to = groups[first][0], groups[last][0]
        log = logs[of.log]
        span = f"rows {log.rows[of.at]} to {log.rows[to.at]}"
        if first == last:
            span = f"row {log.rows[of.at]}"
        raw = f"{span} of {log.file}"
        taken = f"rows {first + 1} to {last + 1}" if last > first else f"row {first + 1}"
        report.append(Assumption(None, "", raw, taken, "put in order of time with the other files"))
    for number, group in enumerate(groups, 1):
        if len(group) > 1:
            raw = " and ".join(f"row {logs[r.log].rows[r.at]} of {logs[r.log].file}" for r in group)
            report.append(Assumption(number, "", raw, "one row", "they are of one time"))
    for number, log in enumerate(logs):
        at = {row: joined.get((number, place)) for place, row in enumerate(log.rows)}
        for one in log.report:
            row = None if one.row is None else at.get(one.row)
            report.append(Assumption(row, one.column, one.raw, one.taken, one.effect))
    return report


def _runs(groups: Sequence[Sequence[_Row]]) -> list[tuple[int, int]]:
    """Places from and to of rows that came from one file alone, one behind the other."""
    runs: list[tuple[int, int]] = []
    for number, group in enumerate(groups):
        before = groups[runs[-1][1]] if runs else None
        goes_on = (
            before is not None
            and [row.log for row in before] == [row.log for row in group]
            and len(group) == 1
        )
        if goes_on:
            runs[-1] = (runs[-1][0], number)
        elif len(group) == 1:
            runs.append((number, number))
        else:
            continue
    return runs


def _words(logs: Sequence[Log], group: Sequence[_Row], name: str) -> str:
    cells = [logs[row.log].notes[name][row.at] for row in group if name in logs[row.log].notes]
    return "; ".join(dict.fromkeys(cell for cell in cells if cell))
