"""Bath logs: readings, work and additions over time, read with every assumption listed."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, NamedTuple, Protocol

from bathkin.errors import DataError
from bathkin.tables import headings
from bathkin.tables.cells import add_column, decimal_mark, is_empty, numbers, refuse
from bathkin.tables.doubts import doubts_of, tell_of_far_readings, tell_of_the_future
from bathkin.tables.headings import Heading
from bathkin.tables.late import marks, put_at_their_samples
from bathkin.tables.log_headings import mapped, minutes_of_work, sigmas_of_readings
from bathkin.tables.problems import Problems
from bathkin.tables.racks import check_intervals, put_racks
from bathkin.tables.sheets import Assumption, Sheet, Source, cells_of
from bathkin.tables.times import When, in_order, stamps, when

_ABSENT = {
    "in": ("0", "nothing was added"),
    "out": ("0", "nothing was taken out"),
    "interval": ("empty", "not told for the time since the row before"),
    "temperature": ("empty", "taken straight between the rows that have one"),
}
# What the note of the example row of an empty log says.
EXAMPLE = "EXAMPLE: write over this row"
# Kinds of columns whose cells are no numbers.
_STAMPED = ("stamp", "clock")
_NO_NUMBERS = (*_STAMPED, "mark", "sampled", "hung")
_CONTENTS = ("_g_l", "_mg_l", "_mol_l", "_wt_pct")


class Log(Sheet):
    """What was read, done and added in a bath over time. Made by `read_log`.

    Attributes:
        file: Where it comes from.
        rows: Number of each row, counted from 1 below the headings.
        columns: Numbers by name, `time_h` first; None where nothing was measured.
        notes: Columns of words by heading.
        report: Everything the reader assumed.
        start: When the first row was written, where the log has timestamps.
        files: Every file it was read from: one, but for a log that `join_logs` made.
    """

    _noun = "rows"

    def __init__(
        self,
        file: str,
        rows: Sequence[int],
        columns: dict[str, list[float | None]],
        notes: dict[str, list[str]],
        report: Sequence[Assumption],
        start: datetime | None = None,
        files: Sequence[str] = (),
    ) -> None:
        super().__init__(file, rows, columns, notes, report)
        self.start = start
        self.files = list(files) or [file]

    @property
    def start_s(self) -> float | None:
        """Seconds from 1970-01-01 00:00 to the start, None where the log has no timestamps."""
        if self.start is None:
            return None
        return (self.start - datetime(1970, 1, 1, tzinfo=self.start.tzinfo)).total_seconds() - (
            (self.start.utcoffset() or timedelta()).total_seconds()
        )

    @property
    def doubts(self) -> list[str]:
        """What of it is hard to believe, each with row, heading and what stands there."""
        return doubts_of(self.report, self.rows)

    def drop(self, *which: int | str) -> Log:
        """The log without some rows, by number, or columns, by name.

        Raises:
            DataError: For a row or column that is not there, and for a row in which something was
                plated, added or taken out: that would be lost.
        """
        for row in which:
            if isinstance(row, str) or row not in self.rows:
                continue
            at = self.rows.index(row)
            for name in self.amounts():
                if self.columns[name][at]:
                    message = f"{self.file}: row {row}, {name} = {self.columns[name][at]:g}"
                    expected = "expected a row without work: empty its readings instead"
                    raise DataError(f"{message}: {expected}", row=row, column=name)
        return super().drop(*which)

    def amounts(self) -> list[str]:
        """Columns of what was plated, added or taken out."""
        readings = {"volume_l", "below_volume_l"}
        return [
            name
            for name in self.columns
            if name.endswith(("_l", "_dm2"))
            and not name.endswith(_CONTENTS)
            and name not in readings
        ]

    def upto(self, row: int) -> Log:
        """The log as it stood when a row, by its number, had just been written.

        Raises:
            DataError: For a row that is not there.
        """
        if row not in self.rows:
            raise DataError(f"{self.file}: no row {row}: it has {self.rows[0]} to {self.rows[-1]}")
        return super().drop(*self.rows[self.rows.index(row) + 1 :])

    def _headline(self) -> str:
        first = f" from {self.start.isoformat(' ', 'minutes')}" if self.start else ""
        return f"{super()._headline()}{first}"

    def __eq__(self, other: object) -> bool:
        return super().__eq__(other) and isinstance(other, Log) and self.start == other.start

    __hash__ = None

    def __reduce__(self) -> tuple[Any, ...]:
        made, parts = super().__reduce__()
        return made, (*parts, self.start, self.files)


class KeepsLogs(Protocol):
    """What knows how the logs of a bath are kept: a recipe."""

    def log_columns(self) -> Mapping[str, str]:
        """Headings as the shop writes them, each with the heading it is read as."""
        ...

    def log_sheet(self) -> str | None:
        """Sheet of a workbook that holds the log."""
        ...


def read_log(source: Source, recipe: KeepsLogs | None = None, *, sheet: str | None = None) -> Log:
    """Reads a bath log from a CSV file, a workbook or a pandas table.

    Columns, decimals, units and empty lines as in `read_runs`. One column says when: `time_h`
    (or s, min, d), or a timestamp (`timestamp`, `date`, `datetime`, `when`; a `date` and a `time`
    of the day beside it are one), best as 2026-03-04 07:30. Rows stand in order of time.

    Read: `temperature_c`, `ph` as the recipe reads it (`operation.ph_reading`; `ph_25c` of a cooled
    sample whatever that says), `nickel_g_l`, `hypophosphite_mol_l`
    and other contents, `phosphorus_wt_pct`, `deposition_um_h`, `specific_gravity`, `volume_l`, and
    `sigma_` before the name of any but the temperature, its standard deviation. `<0.05` is kept as
    a limit, `below_nickel_g_l`. Since the row before: `area_dm2` with `plating_min` of that time,
    or with `thickness_um` as it came out, or with `in` and `out` of a rack (by date, or `07:10`; of
    one of them and `minutes`); or `area_in_tank_dm2`, the mean in the tank; without any, a fit
    follows the racks of the recipe (`work.calendar`), by date or by `time_h`.
    `turnovers` of the first row, or its `age_d` since make-up, are those of a used bath; a mark in
    `electrode_calibrated` says that the pH electrode was calibrated before the reading; `sampled`
    is the time of the sample where the readings of a row came in later: they are read at the last
    row at or before that.
    After the reading of the row: what was added by the name of the replenisher (`metal_ml`,
    `metal addition (gal)`, `water_l`; `ph_ml_l` per liter of bath), and `removed_l`. An empty cell
    was not measured; where it is an addition, nothing was added.

    Args:
        source: Path of the file, or a table; an index of timestamps says when.
        recipe: The bath. Headings that stand in its table `[log.columns]` are read as that says,
            and of a workbook the sheet `log.sheet`.
        sheet: Sheet of the workbook; without it that of the recipe, or the first that holds
            anything.

    Raises:
        DataError: For what cannot be read, with file, row, column and raw text; all of it in one
            answer, each in `problems`. Nothing is mended silently: `report` of the result lists
            what was assumed.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> invented = {
        ...     "when": ["2026-03-04 07:30", "2026-03-04 09:30", "2026-03-04 11:30"],
        ...     "nickel (g/L)": [6.0, 5.4, 5.5],
        ...     "lead (mg/L)": ["0.6", "<0.5", "0.5"],
        ...     "area in tank (ft2)": [None, 10, 10],
        ...     "metal added (mL)": [None, 500, 450],
        ... }
        >>> log = bk.read_log(pd.DataFrame(invented))
        >>> log.columns["time_h"], log.columns["metal_l"]
        ([0.0, 2.0, 4.0], [0.0, 0.5, 0.45])
        >>> log.columns["lead_mg_l"], log.columns["below_lead_mg_l"]
        ([0.6, None, 0.5], [None, 0.5, None])
        >>> [one.effect for one in log.report if one.column == "metal added (mL)"]
        ['converted to metal_l', 'nothing was added']
    """
    read = as_far_as_it_goes(source, recipe, sheet)
    read.problems.refuse_any()
    return read.log


class Read(NamedTuple):
    """A log as far as it can be read.

    Attributes:
        log: What could be read of it; what is wrong counts as empty.
        heads: Its headings, in the order of the file.
        problems: What is wrong with it.
    """

    log: Log
    heads: list[Heading]
    problems: Problems


def as_far_as_it_goes(source: Source, recipe: KeepsLogs | None, sheet: str | None) -> Read:
    """A log with everything that is wrong with it.

    Raises:
        DataError: For a file that is no table.
    """
    if sheet is None and recipe is not None and _is_workbook(source):
        sheet = recipe.log_sheet()
    place, header, cells, left_out = cells_of(_with_its_times(source), sheet)
    problems = Problems(place)
    judge = mapped(recipe.log_columns() if recipe is not None else {})
    for row, texts in enumerate(cells, start=1):
        if EXAMPLE in texts:
            with problems.gathered():
                expected = "a row of your own, or none: this is the example of an empty sheet"
                refuse(place, row, header[texts.index(EXAMPLE)], EXAMPLE, expected)
    heads = minutes_of_work(headings.judged(header, judge, problems))
    heads = sigmas_of_readings(heads, problems)
    with problems.gathered():
        _refuse_bare_area(place, heads)
    stamped = [head if head.kind in _STAMPED else None for head in heads]
    plain = headings.once([head for head in heads if head.kind not in _STAMPED], problems)
    rest = iter(plain)
    heads = [stamp or next(rest) for stamp in stamped]
    numeric = [at for at, head in enumerate(heads) if head.name and head.kind not in _NO_NUMBERS]
    report = list(left_out)
    marked, mark = False, None
    with problems.gathered():
        only = [[row[at] for at in numeric] for row in cells]
        mark = decimal_mark(place, [heads[at] for at in numeric], only, report)
        marked = True
    said = None
    with problems.gathered():
        said = when(place, heads, cells, report)
    start = None
    # The time stands first, wherever it stands in the file.
    columns: dict[str, list[float | None]] = {"time_h": []}
    if said is not None and said.stamped:
        moments = stamps(said.text, said.cells, report, problems)
        start = next((moment for moment in moments if moment is not None), None)
        columns["time_h"] = [
            None if moment is None or start is None else (moment - start).total_seconds() / 3600.0
            for moment in moments
        ]
        tell_of_the_future(said, moments, report)
    notes: dict[str, list[str]] = {}
    for at, head in enumerate(heads):
        column = [row[at] for row in cells]
        if head.kind == headings.UNREAD:
            continue
        if not head.name:
            notes[head.text] = column
            report.append(Assumption(None, head.text, head.text, "words", "kept in notes"))
        elif head.kind == "mark":
            columns[head.name] = marks(head, column, problems)
        elif at in numeric and marked:
            if head.assumed:
                effect = f"the column is {head.name}"
                report.append(Assumption(None, head.text, head.text, head.assumed, effect))
            values, limits = numbers(head, column, mark, report, problems)
            _check(head, column, values, problems)
            _check(head, column, limits, problems)
            with problems.gathered():
                add_column(place, columns, head, _filled(head, column, values, report), limits)
            tell_of_far_readings(head, column, values, report)
    if said is not None and (said.stamped or marked):
        _check_order(said, columns, report, problems)
        check_intervals(heads, cells, columns, report, problems)
        put_racks(heads, cells, said, columns, report, problems)
        put_at_their_samples(heads, cells, said, columns, report, problems)
    log = Log(place, range(1, len(cells) + 1), columns, notes, report, start)
    return Read(log, heads, problems)


def _is_workbook(source: Source) -> bool:
    is_path = isinstance(source, (str, os.PathLike))
    return is_path and os.fspath(source).lower().endswith((".xlsx", ".xls", ".ods"))  # type: ignore[arg-type]


def _refuse_bare_area(place: str, heads: Sequence[Heading]) -> None:
    """Refuses an area of which no other column tells how long or how thick it plated."""
    by_name = {head.name: head.text for head in heads}
    told = {"plating_min", "thickness_um", "rack_in_h", "rack_out_h"}
    if "area_dm2" in by_name and not by_name.keys() & told:
        text = by_name["area_dm2"]
        raise DataError(
            f"{place}: column {text}: an area alone does not tell how long it plated: expected"
            " plating_min (of the time since the row before) or thickness_um beside it; or in and"
            " out, when the rack went in and came out; or area_in_tank_dm2, the mean in the tank"
            " since the row before; or no area, and the racks of a calendar (work.calendar)",
            column=text,
        )


def _with_its_times(source: Source) -> Source:
    """A table whose index says when has that as a column, whatever the index is called."""
    import pandas as pd

    if not isinstance(source, pd.DataFrame) or not isinstance(source.index, pd.DatetimeIndex):
        return source
    named: pd.DataFrame = source.rename_axis("timestamp")
    return named


def _check(
    head: Heading, column: list[str], values: list[float | None], problems: Problems
) -> None:
    """Refuses amounts below zero, and standard deviations that are not above it."""
    amount = head.kind in {"in", "out", "interval", "limit"} or head.name.endswith(_CONTENTS)
    for row, (cell, value) in enumerate(zip(column, values, strict=True), start=1):
        expected = ""
        if value is None:
            continue
        if head.kind == "sigma" and value <= 0.0:
            expected = "a standard deviation above zero"
        if amount and value < 0.0:
            expected = "zero or more"
        if head.name == "specific_gravity" and not 0.9 <= value <= 2.0:
            hint = "is the column in g/L or degrees Baume?"
            expected = f"a specific gravity between 0.9 and 2: {hint}"
        with problems.gathered():
            if expected:
                refuse(problems.place, row, head.text, cell, expected)


def _filled(
    head: Heading, column: list[str], values: list[float | None], report: list[Assumption]
) -> list[float | None]:
    """The numbers with zeros where nothing was added; what empty cells mean is told once."""
    # The first row has no time before it.
    first = 1 if head.kind == "interval" else 0
    count = sum(is_empty(cell) for cell in column[first:])
    if count and head.kind != "time":
        kind = "temperature" if head.name == "temperature_c" else head.kind
        taken, effect = _ABSENT.get(kind, ("empty", "not measured"))
        raw = "1 empty cell" if count == 1 else f"{count} empty cells"
        report.append(Assumption(None, head.text, raw, taken, effect))
    nothing = 0.0 if head.kind in {"in", "out"} else None
    return [nothing if value is None else value for value in values]


def _check_order(
    said: When,
    columns: dict[str, list[float | None]],
    report: list[Assumption],
    problems: Problems,
) -> None:
    for row, (cell, hour) in enumerate(zip(said.cells, columns["time_h"], strict=True), start=1):
        with problems.gathered():
            if hour is None and is_empty(cell) and not said.stamped:
                refuse(problems.place, row, said.text, cell, "a time in every row")
    in_order(said.text, said.cells, columns["time_h"], report, problems)
