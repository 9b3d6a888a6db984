"""A bath followed along its log."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeAlias, Union

from bathkin.core.answer import Tabled
from bathkin.core.arguments import MOST_REPEATS, paths, truth, whole, word
from bathkin.core.dates import by_the_clock
from bathkin.core.flags import warn
from bathkin.core.numbers import shown
from bathkin.core.progress import Progress, reporting
from bathkin.core.result import made_from
from bathkin.errors import ConvergenceError, DataError, UnknownNameError
from bathkin.fit.data import assumptions
from bathkin.fit.log_check import refuse_other_baths
from bathkin.life.plan import Plan, planned
from bathkin.recipe.recipe import Recipe, as_recipe
from bathkin.tables.analysed_now import with_analyses
from bathkin.tables.joined import join_logs
from bathkin.tables.logs import Log, read_log
from bathkin.tracking import results
from bathkin.tracking.record import WORK, TrackInput, TrackOptions, TrackRecord

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure

Readable: TypeAlias = Union[Log, str, "os.PathLike[str]", "pd.DataFrame"]


class Track(Tabled, TrackRecord):
    """A bath followed along its log. Made by `track`."""

    __slots__ = ()

    def __getitem__(self, name: str) -> results.Standing:
        """How the bath stands in one reading, by its name with unit.

        Raises:
            UnknownNameError: For a name that is none.
        """
        for one in self.standing:
            if one.name == name:
                return one
        known = ", ".join(one.name for one in self.standing if one.main)
        raise UnknownNameError(f"the bath has no reading called {shown(name)}: such as {known}")

    def plan(
        self,
        shift_h: float = 8.0,
        now: Mapping[str, float | str] | None = None,
        round_ml: float | None = None,
        calendar: str | os.PathLike[str] | None = None,
        sure: bool = False,
        start: str | datetime | None = None,
    ) -> Plan:
        """What to add in the coming shift, from the bath as the log tells it.

        Args:
            shift_h: Length of the shift, h.
            now: Analyses made since the last row, as in `Recipe.plan`. They are held against what
                the log tells of the bath.
            round_ml: Smallest step of the measure, mL.
            calendar: Racks of the shift, a CSV file with hours from its start.
            sure: Take analyses as they stand, however far off.
            start: When it begins, "2026-03-02 06:00" by the clock on the wall: its racks are those
                of the recipe's calendar from then on.

        Raises:
            RecipeError: As `Recipe.plan`; unless `sure`, for an analysis far off what the log
                tells, with the slip it may be: the point moved, two digits swapped.
        """
        return planned(
            self.recipe,
            self._of.core().plan,
            shift_h,
            {} if now is None else now,
            round_ml,
            calendar,
            sure=sure,
            start=start,
        )

    def table(self) -> pd.DataFrame:
        """The log as it was followed: a row each, with what is believed after its readings.

        Columns `expected_`, `off_` (in standard deviations) and `taken_` before the name of a
        reading say what was made of it.
        """
        import pandas as pd

        lines = []
        for row in self.rows:
            line: dict[str, Any] = {
                name: value for name, value in row if name not in {"readings", "row"}
            }
            for one in row.readings:
                line[one.column] = one.value
                line[f"expected_{one.column}"] = one.expected
                line[f"off_{one.column}"] = one.standardised
                line[f"taken_{one.column}"] = one.taken
            lines.append(line)
        index = pd.Index([row.row for row in self.rows], name="row")
        table: pd.DataFrame = pd.DataFrame(lines, index=index)
        return table

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values, as `bathkin today --json` prints it."""
        return {**super().to_dict(), "assumptions": assumptions([self.log])}

    def summary(self) -> str:
        """The bath today on one screen."""
        from bathkin.reports.track import track_text

        return track_text(self)

    def _drawn(self) -> Figure:
        from bathkin.plots.track import plot_track

        return plot_track(self)

    def _sources(self) -> list[Path]:
        return self.recipe.files()

    def __repr__(self) -> str:
        return self.summary()


def track(
    recipe: Recipe | str,
    log: Readable | Sequence[Readable] | None = None,
    *,
    members: int = 500,
    seed: int = 1,
    turnovers: float | None = None,
    used: bool = False,
    now: Mapping[str, float | str] | None = None,
    accept: Iterable[int] = (),
    rival_ageing: bool = False,
    work: str = WORK[0],
    hold: Iterable[str] = (),
    draw: Iterable[str] = (),
    progress: Progress = None,
) -> Track:
    """Follows a bath along its log: where it stands today, what is odd, when it must go.

    An extended Kalman filter over the model of the recipe: additions are taken as written, readings
    correct what the bath holds, and what no recipe knows (its rate, its ageing, strengths of the
    replenishers, bias of the titration, offset of the electrode) is learned on the way. Members
    drawn from what is believed today go on to their first limit, which gives the spread of the
    date. How honest that spread is stands in the documentation; it is an estimate for planning.

    Args:
        recipe: The recipe, or the name or path of one.
        log: A log from `read_log`, or a path or table, which it reads as the recipe says
            (`[log]`); or several of them, the files of this one bath, joined by their dates
            (`join_logs`). Without one, the log that the recipe names, `log.file` or `log.files`.
        members: Baths that go on to their first limit.
        seed: The same seed gives the same answer, for any number of threads.
        turnovers: Metal turnovers before the first row: the bath was used. It starts as the
            recipe's own bath at that age, with its contents as uncertain as that is.
        used: It was used, nobody knows how long: its first reading of the by-product tells, or
            nothing does, and the date is drawn wide.
        now: Analyses that stand in no row yet, by name: a row more, a minute after the last. Of a
            `used` bath whose log tells nothing of its age, the by-product or specific gravity.
        accept: Rows whose finding is put in: the dose that nobody wrote down, or the reading put
            right.
        rival_ageing: Follow an exponential ageing beside that of the recipe, each weighted by its
            likelihood.
        work: The work to come: "as-logged", past shifts redrawn with a level of its own and a
            factor for each week; "as-planned", what the recipe plans, plated as lean and as cool as
            the log shows. Racks of a calendar are worked as planned anyway.
        hold: Numbers of the recipe that are held though they have a width, by path or by table
            ("species"). Without: its constants and numbers of laws are drawn for each member
            within `Recipe.widths`, as far as the log has not told them; `drawn_numbers` has them.
        draw: Further numbers to draw within their range, by path or by table: of a law, a solution
            or the tank.
        progress: True for a bar, or a function that is called with the members done.

    Raises:
        DataError: For a log that cannot be used, with file, row and column; for a row to accept
            without a finding.
        RecipeError: For an age that this bath does not get to; for a number to draw without a
            range.
        UnknownNameError: For a number to hold or to draw that the recipe does not have.
        ConvergenceError: When the bath cannot be followed, with the clock time.

    Warns:
        BathkinWarning: For what is doubtful in the recipe.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> log = pd.DataFrame({  # invented
        ...     "timestamp": ["2026-03-02 06:00", "2026-03-02 08:00", "2026-03-02 10:00"],
        ...     "nickel (g/L)": [6.0, 4.75, 4.85],
        ...     "area in tank (dm2)": [0, 200, 200],
        ...     "metal added (L)": [0, 5, 4.6],
        ... })
        >>> today = bk.track("nickel-acid", log, members=20)
        >>> round(today["metal_g_l"].set_point, 2)
        6.0
        >>> today.dump.date.p10 <= today.dump.date.p50 <= today.dump.date.p90
        True
        >>> [alarm.code for alarm in today.alarms]
        []
    """
    of = as_recipe(recipe)
    sheet = as_log(log, of)
    if now:
        sheet = with_analyses(sheet, now)
    count = whole("members", members, least=1, most=MOST_REPEATS)
    options = TrackOptions(
        count,
        whole("seed", seed),
        _age(turnovers, truth("used", used)),
        None if sheet.start is None else by_the_clock(sheet.start),
        [whole("accept", row, least=1) for row in accept],
        truth("rival_ageing", rival_ageing),
        word("work", work, WORK),
        paths("hold", hold),
        paths("draw", draw),
    )
    made = TrackInput(of, sheet, options)
    try:
        with reporting(progress, f"members of {count}") as report:
            found = made_from(made.core(report).result(), made)
    except ConvergenceError as error:
        # What is hard to believe may be why.
        error.args = ("; ".join([str(error), *sheet.doubts]),)
        raise
    warn(found.flags, known=of.flags, stacklevel=3)
    return found


def as_log(log: Readable | Sequence[Readable] | None, recipe: Recipe) -> Log:
    """A log: as given, read from a path or table, joined of several, or the recipe's own.

    Raises:
        DataError: Where there is none, and for files of several that are no log of this bath.
    """
    if isinstance(log, (list, tuple)):
        if not log:
            raise DataError("log = []: expected a log, or several of one bath")
        logs = [as_log(one, recipe) for one in log]
        if len(logs) > 1:
            refuse_other_baths(logs, recipe)
        return join_logs(logs)
    if log is None:
        named = recipe.log_files()
        if not named:
            expected = 'expected one, or in the recipe [log] file = "log.csv"'
            raise DataError(f"{recipe.name} comes without a log: {expected}")
        return as_log(named, recipe)
    return log if isinstance(log, Log) else read_log(log, recipe)  # type: ignore[arg-type]


def _age(turnovers: float | None, used: bool) -> float | None:
    """Turnovers of a used bath, below zero where nothing tells them, None of a fresh one."""
    if turnovers is None:
        return -1.0 if used else None
    if not isinstance(turnovers, (int, float)) or not 0.0 < turnovers < 1000.0:
        raise DataError(f"turnovers = {shown(turnovers)}: expected a number above zero")
    return float(turnovers)
