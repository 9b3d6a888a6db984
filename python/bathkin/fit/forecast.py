"""When a bath will be dumped, as sure as a fit is."""

from __future__ import annotations

import json
from contextlib import suppress
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any

from bathkin.core import layout
from bathkin.core.answer import Drawn
from bathkin.core.arguments import MOST_REPEATS, whole
from bathkin.core.flags import Flag, from_dicts
from bathkin.core.numbers import shown
from bathkin.core.progress import Progress, reporting
from bathkin.errors import DataError
from bathkin.fit.data import assumptions
from bathkin.fit.record import FitRecord
from bathkin.fit.remarks import (
    date_of,
    despite,
    doubts,
    held_text,
    late,
    narrow,
    only_start,
    past,
)
from bathkin.fit.spread import DumpForecast, Spread, end_text, range_text
from bathkin.life.results import Dump
from bathkin.recipe.recipe import Recipe, as_recipe

if TYPE_CHECKING:
    from matplotlib.figure import Figure


class Forecast(Drawn):
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
        self, fit: FitRecord, recipe: Recipe, made_up: datetime | None, document: dict[str, Any]
    ) -> None:
        self.fit = fit
        self.recipe = recipe
        self.made_up = made_up
        self._document = document
        names = ("clock_h", "plating_h", "turnovers", "area_m2")
        spreads = {name: Spread(**document[name]) for name in names}
        dates = {name: date_of(made_up, hours) for name, hours in spreads["clock_h"]}
        self.dump = DumpForecast(**spreads, date=Spread(**dates))
        self.first_limit: dict[str, float] = {
            one["limit"]: one["probability"] for one in document["first_limit"]
        }
        self.at_estimates = Dump(**document["at_estimates"])
        self.lives = [Dump(**one) if one else None for one in document["lives"]]
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
            *despite(self.fit.misfit),
            ("from-make-up", start),
            *doubts(document),
            *late(self.fit.data, self.made_up),
            *past(self.fit.data, self.made_up, self.dump.hours),
            *narrow(self.dump.hours, self.held_numbers),
        ]
        if document["held"]:
            held = ", ".join(document["held"])
            found.append(("held", f"no uncertainty is known of {held}: the spread is too narrow"))
        return [
            *({"code": code, "text": text} for code, text in found),
            *self.fit.messages,
        ]

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values, as `bathkin forecast --json` prints it."""
        counted = ("draws", "beyond", "longest_clock_h", "failed", "first_failure")
        kept = (*counted, "held", "held_numbers")
        return {
            "dump": self.dump.to_dict(),
            "first_limit": self.first_limit,
            "at_estimates": self.at_estimates.to_dict(),
            **{name: self._document[name] for name in kept},
            "made_up": self.made_up.isoformat() if self.made_up else None,
            "estimates": [one.to_dict() for one in self.fit.estimates],
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
                        end.upper(), [end_text(getattr(one, end), longest) for _, one in rows]
                    )
                    for end in ("p10", "p50", "p90")
                ),
                layout.Column(
                    "at the estimates",
                    [end_text(self._exact(name), longest) for name, _ in rows],
                ),
            ]
        )
        limits = layout.render(
            [
                layout.Column(
                    "first limit",
                    [self.recipe.words(name)[0] for name in self.first_limit],
                    left=True,
                ),
                layout.Column(
                    "probability", [f"{100 * part:.0f} %" for part in self.first_limit.values()]
                ),
            ]
        )
        held = held_text(self.held_numbers)
        return "\n\n".join(filter(None, [dump, limits, held, layout.remarks(self.messages)]))

    def _drawn(self) -> Figure:
        from bathkin.plots.forecast import plot_forecast

        return plot_forecast(self)

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
        rows = [(name, range_text(spread)) for name, spread in self.dump if spread.p50 is not None]
        return layout.html_card("Forecast", rows)


def lives(
    of: FitRecord,
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


def _moment(of: FitRecord, made_up: date | str | None) -> datetime | None:
    read = made_up
    if isinstance(made_up, str):
        with suppress(ValueError):
            read = datetime.fromisoformat(made_up)
    if read is None:
        return only_start(of.data)
    # pandas has a date that is none, unequal to itself.
    if not isinstance(read, date) or read != read:
        raise DataError(
            f"made_up = {shown(made_up)}: expected a day and time such as 2026-03-04 07:30"
        )
    return read if isinstance(read, datetime) else datetime.combine(read, time())
