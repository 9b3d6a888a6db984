"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from bathkin.core.result import Result
from bathkin.core.results import Flag


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Optimisation(Result):
    """Best numbers of a recipe for a goal under limits.

    Attributes:
        feasible: Whether a point within all limits was found; if not, this is the one that is
            least beyond them.
        complete: False when it was ended before it was done: the best until then.
        goal: The goal.
        numbers: The numbers that were varied.
        limits: How each limit stands.
        outputs: Every output at the best point.
        first_limit: What ends the life there; none where no life was computed.
        attempts: What was tried.
        seed: Seed of the points.
        flags: Warnings that go with it.
    """

    feasible: bool
    complete: bool
    goal: OptimumGoal
    numbers: list[OptimumNumber]
    limits: list[OptimumLimit]
    outputs: dict[str, float]
    first_limit: str | None
    attempts: Attempts
    seed: int
    flags: list[Flag]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class OptimumGoal(Result):
    """The goal of an optimum.

    Attributes:
        output: Name of the output.
        most: Whether it was to be as great as can be, not as small.
        unit: Unit; empty for a pure number.
        value: Its value.
        scatter: Standard deviation, in its unit, for changes up to a hundredth of the ranges,
            beside what goes smoothly: doses and stops come whole. None with too few neighbours
            that have an answer.
        smooth: The smooth course at the best point, through its neighbours.
        at_recipe: Its value by the recipe's own numbers; none where that life fails.
    """

    output: str
    most: bool
    unit: str
    value: float
    scatter: float | None
    smooth: float | None
    at_recipe: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class OptimumNumber(Result):
    """A number that was varied.

    Attributes:
        path: Path.
        value: Its best value.
        low: Least value that was allowed.
        high: Greatest value.
        touches: The bound that the best value lies on, `low` or `high`; none inside.
        as_good_low: Least value among the points within all limits whose goal is as good, to twice
            the scatter.
        as_good_high: Greatest of those.
        at_recipe: The recipe's own value; none where it has none.
    """

    path: str
    value: float
    low: float
    high: float
    touches: str | None
    as_good_low: float
    as_good_high: float
    at_recipe: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class OptimumLimit(Result):
    """How a limit stands at an optimum.

    Attributes:
        output: Name of the output.
        at_least: Whether it is to be at least the bound, not at most.
        bound: The bound.
        unit: Unit; empty for a pure number.
        value: Its value.
        margin: Distance to the bound: below zero where the limit is broken.
        scatter: Standard deviation of the value for changes up to a hundredth of the ranges: a
            margin below it is none.
        met: Whether the limit is kept.
        binds: Whether it stands in the way of a better goal: a point that was tried breaks it
            alone and has a goal that is better by more than twice the scatter.
        at_recipe: Its value by the recipe's own numbers; none where that life fails.
    """

    output: str
    at_least: bool
    bound: float
    unit: str
    value: float
    margin: float
    scatter: float | None
    met: bool
    binds: bool
    at_recipe: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Attempts(Result):
    """What was tried.

    Attributes:
        points: Points, the neighbours of the best one too.
        feasible: Points within all limits.
        failed: Points that failed.
        failed_by_code: Points that failed, by the kind of error.
        failures: The first hundred that failed.
        columns: The points that have answers: a column for each path and output, and `feasible`,
            one or zero.
    """

    _ARRAYS: ClassVar = frozenset({"columns"})

    points: int
    feasible: int
    failed: int
    failed_by_code: dict[str, int]
    failures: list[FailedPoint]
    columns: dict[str, NDArray[np.float64]]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class FailedPoint(Result):
    """A point that failed.

    Attributes:
        values: The value of each path.
        code: The kind of error, for programs.
        reason: Why, in words.
    """

    values: dict[str, float]
    code: str
    reason: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class TradeOff(Result):
    """What one goal costs of another.

    Attributes:
        feasible: Whether a point within all limits was found; without one there is no curve.
        complete: False when it was ended before it was done: the curve by what was tried until
            then.
        ends: The best for each goal alone.
        points: The curve, from the best of the first goal to the best of the second.
        attempts: What was tried.
    """

    feasible: bool
    complete: bool
    ends: list[Optimisation]
    points: list[TradeOffPoint]
    attempts: Attempts


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class TradeOffPoint(Result):
    """A point of a trade-off: nothing tried beats it in one goal without losing in the other.

    Attributes:
        values: The value of each path.
        outputs: Every output.
        first_limit: What ends the life there; none where no life was computed.
    """

    values: dict[str, float]
    outputs: dict[str, float]
    first_limit: str | None
