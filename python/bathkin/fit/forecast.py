"""The dump date of a bath with its uncertainty."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from bathkin.core import dates, layout
from bathkin.core.answer import Drawn
from bathkin.core.arguments import MOST_REPEATS, whole
from bathkin.core.progress import Progress, reporting
from bathkin.core.remarks import messages
from bathkin.core.result import made_from, plain
from bathkin.errors import DataError
from bathkin.fit import results
from bathkin.fit.data import Sheets, assumptions
from bathkin.fit.held import held_text
from bathkin.fit.record import FitRecord
from bathkin.fit.spread import DumpForecast, end_text, range_text
from bathkin.recipe.recipe import Recipe, as_recipe
from bathkin.tables.logs import Log

if TYPE_CHECKING:
    from matplotlib.figure import Figure


VIEW = (
    "the fit's view from make-up: every simulated bath starts from a fresh make-up and the fitted"
    " numbers alone vary; where this bath stands today: bathkin today"
)


class Forecast(Drawn, results.Forecast):
    """Simulated bath lives, sampled from a fit. Made by `forecast` or `Fit.forecast`."""

    __slots__ = ("_of",)
    _of: tuple[FitRecord, Recipe, datetime | None]
    dump: DumpForecast

    @property
    def fit(self) -> FitRecord:
        """The fit the numbers are sampled from."""
        return self._of[0]

    @property
    def recipe(self) -> Recipe:
        """The bath that is run, from its make-up."""
        return self._of[1]

    @property
    def made_up(self) -> datetime | None:
        """When it was made up, or None."""
        return self._of[2]

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values, as `bathkin forecast --json` prints it."""
        counted = ("draws", "beyond", "longest_clock_h", "failed", "first_failure")
        listed = (*counted, "held", "held_numbers")
        return {
            "dump": self.dump.to_dict(),
            "first_limit": self.first_limit,
            "at_estimates": self.at_estimates.to_dict(),
            **{name: plain(getattr(self, name)) for name in listed},
            "made_up": self.made_up.isoformat() if self.made_up else None,
            "estimates": [one.to_dict() for one in self.fit.estimates],
            "messages": messages(self.remarks),
            "assumptions": assumptions(self.fit.data),
        }

    def summary(self) -> str:
        """The dump with its spread, the limits, and remarks, as a text."""
        rows = [(name, spread) for name, spread in self.dump if name != "date" or self.made_up]
        longest = f"beyond {self.longest_clock_h:.0f} h"
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
        told = [layout.wrapped(VIEW, 0, 2), dump, limits, held, layout.remarks(self.remarks)]
        return "\n\n".join(filter(None, told))

    def _drawn(self) -> Figure:
        from bathkin.plots.forecast import plot_forecast

        return plot_forecast(self)

    def _exact(self, name: str) -> float | str | None:
        if name == "date":
            return self.date_at_estimates
        value: float = getattr(self.at_estimates, name)
        return None if self.at_estimates.limit == "none" else value

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
        found = of._core.forecast(
            bath._core, count, seed, despite_misfit, *_clocks(moment, of.data), report
        )
    return made_from(found, (of, bath, moment))


def _moment(of: FitRecord, made_up: date | str | None) -> datetime | None:
    if made_up is None:
        return _log_start(of.data)
    return dates.moment("made_up", made_up, DataError)


def _clocks(
    made_up: datetime | None, sheets: Sheets
) -> tuple[tuple[float, str] | None, float | None]:
    """Make-up with its offset, and start of the only log, as seconds by the clock on the wall."""
    start = _log_start(sheets)
    begun = None if start is None else dates.by_the_clock(start)[0]
    return None if made_up is None else dates.by_the_clock(made_up), begun


def _log_start(sheets: Sheets) -> datetime | None:
    """When the first row of the log was written, where there is one log."""
    logs = [sheet for sheet in sheets if isinstance(sheet, Log)]
    return logs[0].start if len(logs) == 1 else None
