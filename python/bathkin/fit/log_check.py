"""How a log is read for a recipe: every heading, everything assumed, everything wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bathkin import _core
from bathkin.core import layout
from bathkin.core.layout import Column
from bathkin.core.result import Result
from bathkin.errors import DataError
from bathkin.fit.data import given
from bathkin.recipe.recipe import Recipe
from bathkin.tables import headings
from bathkin.tables.headings import Heading
from bathkin.tables.logs import Log, Read, as_far_as_it_goes
from bathkin.tables.problems import together
from bathkin.tables.sheets import Assumption, Source, assumed_text

# A level this many times the tank, or as small a part of it, is that of another one.
_TIMES = 2.0


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ReadColumn(Result):
    """A heading and what it is read as.

    Attributes:
        heading: As written.
        name: Its name in the log; empty for words and for what is not read.
        what: What it is, in words.
        unit: Unit the numbers get.
        written_in: Unit they are written in, where that is another one.
        is_read: Whether it is known what it is.
    """

    heading: str
    name: str
    what: str
    unit: str
    written_in: str
    is_read: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class LogProblem(Result):
    """Something wrong with a log.

    Attributes:
        text: What stands there and what was expected.
        row: Row below the headings, counted from 1, or None.
        column: Heading or name of the column, or None.
        raw: What stands there, or None.
    """

    text: str
    row: int | None
    column: str | None
    raw: str | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class LogCheck(Result):
    """How a log is read. Made by `check_log`.

    Attributes:
        file: Where it comes from.
        rows: How many rows it has.
        start: When the first row was written, where the log has timestamps.
        columns: Every heading, in the order of the file.
        assumed: Everything the reader had to decide.
        problems: Everything that is wrong.
        doubts: What can be used but is hard to believe.
    """

    file: str
    rows: int
    start: str | None
    columns: list[ReadColumn]
    assumed: list[Assumption]
    problems: list[LogProblem]
    doubts: list[str]

    def map_toml(self) -> str:
        """The table `[log.columns]` of the recipe: every heading with what it is read as.

        What is not read stands there as a remark, to be filled in.
        """
        known = [(one.heading, self._read_as(one)) for one in self.columns if one.is_read]
        lines = [_core.log_columns_as_toml(known)]
        for one in self.columns:
            if not one.is_read:
                line = _core.log_columns_as_toml([(one.heading, "?")]).splitlines()[1]
                lines.append(f"# {line}\n")
        return "".join(lines)

    def _read_as(self, one: ReadColumn) -> str:
        return one.heading if one.written_in or one.name == "time_h" else one.name

    def summary(self) -> str:
        """One list: the headings, what was assumed, what is hard to believe, what is wrong."""
        begun = f" from {self.start}" if self.start else ""
        read = layout.render(
            [
                Column("heading", [one.heading for one in self.columns], left=True),
                Column(
                    "read as", [one.name or _NOT[one.is_read] for one in self.columns], left=True
                ),
                Column("from", [one.written_in for one in self.columns], left=True),
                Column("what", [one.what for one in self.columns], left=True),
            ],
            indent=2,
        )
        parts = [f"{self.file}: {self.rows} rows{begun}\n{read}", assumed_text(self.assumed)]
        if self.doubts:
            told = [layout.wrapped(f"- {one}", 2, 4) for one in self.doubts]
            parts.append("\n".join(["hard to believe", *told]))
        if self.problems:
            told = [layout.wrapped(f"- {one.text}", 2, 4) for one in self.problems]
            parts.append("\n".join(["problems", *told]))
        return "\n".join(filter(None, parts))

    def __repr__(self) -> str:
        return self.summary()

    def refuse_any(self) -> None:
        """Refuses the log where anything is wrong with it.

        Raises:
            DataError: As `read_log` and a fit of it would.
        """
        errors = [
            DataError(one.text, row=one.row, column=one.column, raw=one.raw)
            for one in self.problems
        ]
        if errors:
            raise together(self.file, errors)


_NOT = {True: "words", False: "not read"}


def check_log(recipe: Recipe, log: Source, *, sheet: str | None = None) -> LogCheck:
    """How a log is read for a recipe, with all problems at once; nothing is computed.

    Args:
        recipe: The bath.
        log: Path of the file, or a table.
        sheet: Sheet of the workbook; without it that of the recipe (`log.sheet`), or the first
            that holds anything.

    Raises:
        DataError: For a file that is no table. What else is wrong stands in the result.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> invented = {
        ...     "time_h": [0, 8],
        ...     "Ni (% of set point)": [100, "?"],
        ...     "lactat (g/L)": [30, 30],
        ... }
        >>> checked = bk.check_log(bk.load_recipe("nickel-acid"), pd.DataFrame(invented))
        >>> [(one.heading, one.name, one.unit) for one in checked.columns][1]
        ('Ni (% of set point)', 'ni_pct_of_set_point', '% of set-point')
        >>> [(one.row, one.column) for one in checked.problems]
        [(2, 'Ni (% of set point)'), (None, 'lactat (g/L)')]
    """
    read = as_far_as_it_goes(log, recipe, sheet)
    columns, found, doubts = recipe._core.check_log(given([read.log])[0])
    words = {name: (what, unit) for name, what, unit in columns}
    problems = [*read.problems.found, *_of_the_recipe(read, found)]
    started = read.log.start
    return LogCheck(
        file=read.log.file,
        rows=len(read.log),
        start=None if started is None else started.isoformat(" ", "minutes"),
        columns=[_column(head, words) for head in read.heads],
        assumed=list(read.log.report),
        problems=[
            LogProblem(str(one).removeprefix(f"{read.log.file}: "), one.row, one.column, one.raw)
            for one in problems
        ],
        doubts=doubts,
    )


def refuse_other_baths(logs: Sequence[Log], recipe: Recipe) -> None:
    """Refuses, of several files of one bath, one that has what this bath does not.

    Raises:
        DataError: For columns that the recipe has nothing of, such as another metal, and for a
            level that is less than half or more than twice the tank; with the file.
    """
    tank_l = float(recipe.get("tank.volume_l"))
    for log in logs:
        columns, found, _ = recipe._core.check_log(given([log])[0])
        unread = {name for name, what, _ in columns if not what}
        wrong = [
            DataError(f"{error}; is it the log of another bath?", column=name)
            for name, error in found
            if name in unread
        ]
        levels = zip(log.rows, log.columns.get("volume_l", []), strict=False)
        for row, level in levels:
            if level is not None and not tank_l / _TIMES < level < tank_l * _TIMES:
                expected = f"the tank of {recipe.name} holds {layout.number(tank_l)} L"
                message = f"{log.file}: row {row}, volume_l = {layout.number(level)}: {expected}"
                hint = f"{message}; is it the log of another bath?"
                wrong.append(DataError(hint, row=row, column="volume_l"))
                break
        if wrong:
            raise together(log.file, wrong)


def _column(head: Heading, words: Mapping[str, tuple[str, str]]) -> ReadColumn:
    what, unit = words.get(head.name, ("", ""))
    if head.kind == "sampled":
        what = "when the sample of the row was taken"
    elif not head.name:
        what = "kept in notes"
    if head.kind == headings.UNREAD or not what:
        return ReadColumn(head.text, "", "", "", "", False)
    return ReadColumn(head.text, head.name, what, unit, head.unit or "", True)


def _of_the_recipe(read: Read, found: Sequence[tuple[str | None, DataError]]) -> list[DataError]:
    """Problems that the recipe finds, by the headings of the file.

    Where cells were not read, what follows from their being empty is no problem of its own.
    """
    texts = {head.name: head.text for head in read.heads if head.name}
    before = bool(read.problems.found)
    problems = []
    for name, one in found:
        if before and name in {None, "time_h"}:
            continue
        text = str(one).partition(": ")[2]
        column = texts.get(name or "", name)
        problems.append(DataError(text, row=one.row, column=column, raw=one.raw))
    return problems
