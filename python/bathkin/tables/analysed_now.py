"""Analyses that stand in no row of a log yet."""

from __future__ import annotations

from collections.abc import Mapping

from bathkin.core.numbers import shown
from bathkin.errors import DataError
from bathkin.tables.cells import numbers
from bathkin.tables.log_headings import log_heading
from bathkin.tables.logs import Log
from bathkin.tables.problems import Problems
from bathkin.tables.sheets import Assumption

# After the additions of the last row, before anything plates.
_LATER_H = 1.0 / 60.0


def with_analyses(log: Log, now: Mapping[str, float | str]) -> Log:
    """The log with a row more, a minute after its last, that has these readings.

    Args:
        log: The log.
        now: Readings by name, as its headings are read: `orthophosphite_mol_l`, `nickel_g_l`.

    Raises:
        DataError: For a name that is no reading, or a value that is none.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> from bathkin.tables.analysed_now import with_analyses
        >>> log = bk.read_log(pd.DataFrame({"time_h": [0, 8], "nickel (g/L)": [6.0, 5.5]}))
        >>> more = with_analyses(log, {"nickel_g_l": 5.8, "specific_gravity": "1.14"})
        >>> more.columns["nickel_g_l"], more.columns["specific_gravity"]
        ([6.0, 5.5, 5.8], [None, None, 1.14])
    """
    problems = Problems("now")
    report: list[Assumption] = []
    found: dict[str, float | None] = {}
    for name, value in now.items():
        with problems.gathered():
            head = log_heading("now", name)
            if head.kind != "reading":
                expected = "expected a reading, such as orthophosphite_mol_l or specific_gravity"
                if head.kind == "age":
                    expected = (
                        "expected --turnovers (turnovers=), which are those before the first row"
                    )
                raise DataError(f"now: {name} = {shown(value)}: {expected}", column=name)
            values, limits = numbers(head, [str(value)], ".", report, problems)
            found[head.name] = values[0]
            if limits[0] is not None:
                found[f"below_{head.name}"] = limits[0]
    problems.refuse_any()
    last = log.columns["time_h"][-1]
    additions = log.amounts()
    columns: dict[str, list[float | None]] = {}
    for name in [*log.columns, *(name for name in found if name not in log.columns)]:
        cells = log.columns.get(name, [None] * len(log))
        columns[name] = [*cells, 0.0 if name in additions else found.get(name)]
    columns["time_h"][-1] = None if last is None else last + _LATER_H
    row = log.rows[-1] + 1
    said = ", ".join(f"{name} = {shown(value)}" for name, value in now.items())
    told = Assumption(row, "", said, "a further row", "read a minute after the last one")
    notes = {name: [*cells, ""] for name, cells in log.notes.items()}
    everything = [*log.report, *report, told]
    return Log(log.file, [*log.rows, row], columns, notes, everything, log.start, log.files)
