"""The dump of a bath as a spread of lives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from bathkin.core import layout
from bathkin.core.result import Result
from bathkin.fit.results import Spread


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class DateSpread(Result):
    """Days that one, five and nine of ten lives end by.

    None where that many outlive the longest, or the make-up has no date.

    Attributes:
        p10: One of ten.
        p50: The median.
        p90: Nine of ten.
    """

    p10: str | None
    p50: str | None
    p90: str | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class DumpForecast(Result):
    """When a bath will be dumped, as a spread of lives.

    Attributes:
        clock_h: Time since make-up, h; also as `hours`.
        plating_h: Time with work in the tank, h.
        turnovers: Metal turnovers by metal replenished.
        area_m2: Area plated, m2.
        date: Day, and within two days of the make-up the time, where that is known.
    """

    _title: ClassVar[str] = "Dump"

    clock_h: Spread
    plating_h: Spread
    turnovers: Spread
    area_m2: Spread
    date: DateSpread

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
