"""An estimated number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from bathkin.core.result import Result


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Estimate(Result):
    """An estimate with its uncertainty.

    Attributes:
        path: Name with unit.
        value: Value.
        standard_error: Standard error, or None without a degree of freedom.
        interval95: 95 % interval (low, high), or None.
        status: `ok`, or why there is no uncertainty.
    """

    _title: ClassVar[str] = "Estimate"

    path: str
    value: float
    standard_error: float | None
    interval95: list[float] | None
    status: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PathEstimate(Estimate):
    """An estimate of a number of a recipe, or of what a bath held at the start of its log.

    Attributes:
        scale: How it was moved, `log` or `linear`.
        start: Value in the recipe.
    """

    scale: str
    start: float
