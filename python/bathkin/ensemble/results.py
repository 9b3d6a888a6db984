"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass

from bathkin.core.result import Result


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class OutputStatistics(Result):
    """How an output is spread over the members.

    Attributes:
        output: Name of the output.
        unit: Unit; empty for a pure number.
        at_recipe: Its value by the recipe's own numbers; none where that life fails.
        count: Members that have it.
        missing: Members that did not fail and do not have it, such as lives that end before.
        mean: Mean.
        standard_deviation: Standard deviation, by the members less one.
        least: Least value.
        greatest: Greatest value.
    """

    output: str
    unit: str
    at_recipe: float | None
    count: int
    missing: int
    mean: float | None
    standard_deviation: float | None
    least: float | None
    greatest: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class FailedMember(Result):
    """A member that failed.

    Attributes:
        member: Its number, from 0.
        values: The value of each path.
        code: The kind of error, for programs.
        reason: Why, in words.
    """

    member: int
    values: dict[str, float]
    code: str
    reason: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Driver(Result):
    """How far an output goes with a number over the members of any ensemble.

    Attributes:
        path: Path of the number.
        rank_correlation: Spearman's rank correlation.
        share: Its square: the part of the spread that goes with the number alone.
    """

    path: str
    rank_correlation: float
    share: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class VarianceShare(Result):
    """The part of the variance of an output that a number makes: Sobol's indices.

    Attributes:
        output: Name of the output.
        path: Path of the number.
        first: First-order index: the part that would go if the number were known.
        first_low: Low end of its interval.
        first_high: High end.
        total: Total index: the part that would stay if the number alone were not known.
        total_low: Low end of its interval.
        total_high: High end.
    """

    output: str
    path: str
    first: float
    first_low: float
    first_high: float
    total: float
    total_low: float
    total_high: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ElementaryEffects(Result):
    """How an output answers to a number over its whole range: Morris's elementary effects.

    Attributes:
        output: Name of the output.
        path: Path of the number.
        mean: Mean effect, in the unit of the output over the whole range of the number.
        mean_size: Mean size of the effects.
        standard_deviation: Their standard deviation: large where the number acts not in a straight
            line, or with others.
        count: How many there are.
    """

    output: str
    path: str
    mean: float
    mean_size: float
    standard_deviation: float
    count: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Silent(Result):
    """An output that says nothing about the numbers.

    Attributes:
        output: Name of the output.
        reason: Why: it is the same everywhere, or too many members failed.
    """

    output: str
    reason: str
