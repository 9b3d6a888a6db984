"""The dump of a bath as a spread of lives."""

from __future__ import annotations

from bathkin.core import layout
from bathkin.fit import results
from bathkin.fit.results import DateSpread, Spread


class DumpForecast(results.DumpForecast):
    """When a bath will be dumped, as a spread of lives."""

    __slots__ = ()
    _title = "Dump"

    @property
    def hours(self) -> Spread:
        """Time since make-up, h."""
        return self.clock_h

    def _shown(self) -> list[tuple[str, str]]:
        return [(name, range_text(spread)) for name, spread in self if spread.p50 is not None]


def end_text(value: float | str | None, longest: str) -> str:
    """An end of a spread; `longest` stands for what outlives the longest life."""
    if value is None:
        return longest
    return value if isinstance(value, str) else layout.number(value)


def range_text(spread: Spread | DateSpread) -> str:
    """The median with the two ends beside it."""
    low, middle, high = (end_text(getattr(spread, end), "-") for end in ("p10", "p50", "p90"))
    return f"{middle} (P10 {low}, P90 {high})"
