"""When a bath will be dumped, as sure as a fit is."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from contextlib import suppress
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any

from bathkin.core import layout
from bathkin.core.arguments import MOST_REPEATS, whole
from bathkin.core.flags import Flag, from_dicts
from bathkin.core.naming import limit_words
from bathkin.core.numbers import shown
from bathkin.core.progress import Progress, reporting
from bathkin.core.records import Record
from bathkin.errors import DataError
from bathkin.fit.call import fit
from bathkin.fit.data import Readable, assumptions
from bathkin.fit.fit import Fit
from bathkin.life.verdict import Dump
from bathkin.recipe.recipe import Recipe, as_recipe
from bathkin.reports.fit import remarks
from bathkin.reports.forecast import (
    date_of,
    despite,
    doubts,
    held_text,
    late,
    narrow,
    only_start,
    past,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

# The number that most baths differ in.
RATE = ("deposition.rate_mol_m2_s",)


class Spread(Record):
    """What one, five and nine of ten lives lie below; None where that many outlive the longest.

    Attributes:
        p10: One of ten.
        p50: The median.
        p90: Nine of ten.
    """

    _title = "Spread"

    p10: Any
    p50: Any
    p90: Any


class DumpForecast(Record):
    """When a bath will be dumped, as a spread of lives.

    Attributes:
        clock_h: Time since make-up, h; also as `hours`.
        plating_h: Time with work in the tank, h.
        turnovers: Metal turnovers by metal replenished.
        area_m2: Area plated, m2.
        date: Day, and within two days of the make-up the time, where that is known.
    """

    _title = "Dump"

    clock_h: Spread
    plating_h: Spread
    turnovers: Spread
    area_m2: Spread
    date: Spread

    @property
    def hours(self) -> Spread:
        """Time since make-up, h."""
        return self.clock_h

    def as_dict(self) -> dict[str, Any]:
        """The spreads by name, in plain values."""
        return {name: spread.as_dict() for name, spread in self}

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (dict(self),)

    def _shown(self) -> list[tuple[str, str]]:
        return [(name, _range(spread)) for name, spread in self if spread.p50 is not None]


class Forecast:
    """Lives of a bath at draws of fitted numbers. Made by `forecast` or `Fit.forecast`.

    Attributes:
        fit: The fit the numbers are drawn from.
        recipe: The bath that is run, from its make-up.
        made_up: When it was made up, or None.
        dump: When it will be dumped.
        first_limit: Which limit comes first, as probabilities; `none` for lives that reach none.
        at_estimates: The dump at the estimates, as if they were exact.
        held_numbers: Numbers that were not fitted and are invented or widely uncertain (`path`,
            `value`, `kind`, `range`), with the hours by which 10 % more of each moves the dump
            (`moved`), the strongest first. They are in no spread.
        lives: The dump of each draw; None where it failed.
    """

    def __init__(
        self, fit: Fit, recipe: Recipe, made_up: datetime | None, document: dict[str, Any]
    ) -> None:
        self.fit = fit
        self.recipe = recipe
        self.made_up = made_up
        self._document = document
        names = ("clock_h", "plating_h", "turnovers", "area_m2")
        spreads = {name: Spread(document[name]) for name in names}
        dates = {name: date_of(made_up, hours) for name, hours in spreads["clock_h"]}
        self.dump = DumpForecast({**spreads, "date": Spread(dates)})
        self.first_limit: dict[str, float] = {
            one["limit"]: one["probability"] for one in document["first_limit"]
        }
        self.at_estimates = Dump(document["at_estimates"])
        self.lives = [Dump(one) if one else None for one in document["lives"]]
        self.held_numbers: list[dict[str, Any]] = document["held_numbers"]

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with the life at the estimates."""
        return from_dicts(self._document["flags"])

    @property
    def messages(self) -> list[dict[str, str]]:
        """What to think of: `code` and `text`."""
        document = self._document
        start = "every simulated bath starts from a fresh make-up, not where the log ends"
        found = [
            *despite(self.fit),
            ("from-make-up", start),
            *doubts(document),
            *late(self.fit, self.made_up),
            *past(self.fit, self.made_up, self.dump.hours),
            *narrow(self.dump.hours, self.held_numbers),
        ]
        if document["held"]:
            held = ", ".join(document["held"])
            found.append(("held", f"no uncertainty is known of {held}: the spread is too narrow"))
        return [
            *({"code": code, "text": text} for code, text in found),
            *self.fit.messages,
        ]

    def as_dict(self) -> dict[str, Any]:
        """Everything in plain values, as `bathkin forecast --json` prints it."""
        counted = ("draws", "beyond", "longest_clock_h", "failed", "first_failure")
        kept = (*counted, "held", "held_numbers")
        return {
            "dump": self.dump.as_dict(),
            "first_limit": self.first_limit,
            "at_estimates": self.at_estimates.as_dict(),
            **{name: self._document[name] for name in kept},
            "made_up": self.made_up.isoformat() if self.made_up else None,
            "estimates": [one.as_dict() for one in self.fit.estimates],
            "messages": self.messages,
            "assumptions": assumptions(self.fit.data),
        }

    def summary(self) -> str:
        """The dump with its spread, the limits, and what to think of, as a text."""
        rows = [(name, spread) for name, spread in self.dump if name != "date" or self.made_up]
        longest = f"beyond {self._document['longest_clock_h']:.0f} h"
        dump = layout.render(
            [
                layout.Column("dump", [name for name, _ in rows], left=True),
                *(
                    layout.Column(
                        end.upper(), [_text(getattr(one, end), longest) for _, one in rows]
                    )
                    for end in ("p10", "p50", "p90")
                ),
                layout.Column(
                    "at the estimates",
                    [_text(self._exact(name), longest) for name, _ in rows],
                ),
            ]
        )
        limits = layout.render(
            [
                layout.Column(
                    "first limit",
                    [_limit(name, self.recipe.metal) for name in self.first_limit],
                    left=True,
                ),
                layout.Column(
                    "probability", [f"{100 * part:.0f} %" for part in self.first_limit.values()]
                ),
            ]
        )
        held = held_text(self.held_numbers)
        return "\n\n".join(filter(None, [dump, limits, held, remarks(self.messages)]))

    def plot(self, path: str | os.PathLike[str] | None = None) -> Figure:
        """Which part of the lives is over by then, and by which limit.

        Raises:
            RecipeError: For a picture format that is not known.
            OSError: When the file cannot be written.
        """
        from bathkin.plots.forecast import plot_forecast
        from bathkin.plots.picture import saved

        return saved(plot_forecast(self), path)

    def _exact(self, name: str) -> float | str | None:
        if name == "date":
            return date_of(self.made_up, self.at_estimates.clock_h)
        value: float = getattr(self.at_estimates, name)
        return None if self.at_estimates.limit == "none" else value

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Forecast) and self._document == other._document

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Forecast, (self.fit, self.recipe, self.made_up, self._document)

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        rows = [(name, _range(spread)) for name, spread in self.dump if spread.p50 is not None]
        return layout.html_card("Forecast", rows)


def forecast(
    recipe: Recipe | str,
    data: Readable | Iterable[Readable],
    free: Iterable[str] = RATE,
    *,
    count: int = 200,
    seed: int = 1,
    made_up: date | str | None = None,
    progress: Progress = None,
    despite_misfit: bool = False,
    **question: Any,
) -> Forecast:
    """Fits a log and simulates the life of the bath for samples of the fitted numbers.

    How the lives spread is what the data leave open of the fitted numbers, and nothing else: work,
    solutions and limits are those of the recipe, and the bath starts from a fresh make-up.

    Args:
        recipe: The bath: a recipe, or the name or path of one.
        data: A log from `read_log`, runs, or a list of both.
        free: Paths of numbers to fit.
        count: Lives.
        seed: The same seed gives the same answer.
        made_up: When the bath was made up, for the date of the dump; without it the first row of
            the only log, where that has timestamps.
        progress: True for a bar, or a function that is called with the lives done.
        despite_misfit: Forecast though the model misses the data (`Fit.misfit`).
        question: Any further argument of `bathkin.fit`.

    Raises:
        DataError: As `bathkin.fit`; for a fit that misses its data; for a number that a column
            parts.
        ConvergenceError: When the fit finds no minimum, or the life at the estimates fails.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> log = bk.read_log(pd.DataFrame({  # invented
        ...     "timestamp": ["2026-03-04 08:00", "2026-03-04 10:00", "2026-03-04 12:00"],
        ...     "area in tank (dm2)": [0, 300, 300],
        ...     "nickel (g/L)": [6.0, 4.75, 3.85],
        ... }))
        >>> errors = {"nickel_g_l": ("relative", 0.02)}
        >>> recipe = bk.load_recipe("nickel-acid")
        >>> ahead = bk.forecast(recipe, log, count=8, errors=errors, sigma="known")
        >>> ahead.first_limit
        {'orthophosphite_mol_l': 1.0}
        >>> ahead.dump.hours.p10 <= ahead.dump.hours.p50 <= ahead.dump.hours.p90
        True
        >>> ahead.dump.date.p50.startswith("2026-03-")
        True
    """
    found = fit(recipe, data, free, **question)
    return found.forecast(
        count=count, seed=seed, made_up=made_up, progress=progress, despite_misfit=despite_misfit
    )


def lives(
    of: Fit,
    recipe: Recipe | str | None,
    count: int,
    seed: int,
    made_up: date | str | None,
    progress: Progress,
    despite_misfit: bool,
) -> Forecast:
    """See `Fit.forecast`."""
    count, seed = whole("count", count, least=1, most=MOST_REPEATS), whole("seed", seed)
    bath = of.start if recipe is None else as_recipe(recipe)
    moment = _moment(of, made_up)
    with reporting(progress, f"lives of {count}") as report:
        document = json.loads(of._core.forecast(bath._core, count, seed, despite_misfit, report))
    return Forecast(of, bath, moment, document)


def _moment(of: Fit, made_up: date | str | None) -> datetime | None:
    read = made_up
    if isinstance(made_up, str):
        with suppress(ValueError):
            read = datetime.fromisoformat(made_up)
    if read is None:
        return only_start(of)
    # pandas has a date that is none, unequal to itself.
    if not isinstance(read, date) or read != read:
        raise DataError(
            f"made_up = {shown(made_up)}: expected a day and time such as 2026-03-04 07:30"
        )
    return read if isinstance(read, datetime) else datetime.combine(read, time())


def _text(value: float | str | None, longest: str) -> str:
    if value is None:
        return longest
    return value if isinstance(value, str) else layout.number(value)


def _range(spread: Spread) -> str:
    low, middle, high = (_text(getattr(spread, end), "-") for end in ("p10", "p50", "p90"))
    return f"{middle} (P10 {low}, P90 {high})"


def _limit(name: str, metal: str) -> str:
    return "none" if name == "none" else limit_words(name, metal)[0]
