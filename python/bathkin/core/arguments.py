"""Arguments of calls: numbers that are what they have to be, or a clear refusal."""

from __future__ import annotations

import math
import operator
from collections.abc import Collection, Iterable, Mapping
from typing import Any

from bathkin.core.numbers import is_truth, shown
from bathkin.errors import DataError, RecipeError

# What the core takes for a whole number.
_MOST = 2**53 - 1


# What anybody needs is far below these, and what they take is memory and days.
MOST_REPEATS = 100_000
MOST_STARTS = 10_000
MOST_POINTS = 100_000
MOST_RUNS = 1_000
MOST_STEPS = 1_000_000
MOST_WALKERS = 10_000
MOST_MEMBERS = 1_000_000_000


def check_points(by: str, counts: Iterable[int], times: int = 1) -> None:
    """Refuses more combinations than can be gone through, before any is made.

    Raises:
        RecipeError: With how many there would be.

    Example:
        >>> from bathkin.core.arguments import check_points
        >>> check_points("sweep", [100, 100])
    """
    points = math.prod(counts) * times
    if points > MOST_POINTS:
        expected = f"expected at most {MOST_POINTS}: vary fewer values"
        raise RecipeError(f"{by}: {points} combinations of values: {expected}")


def whole(name: str, value: object, least: int = 0, most: int = _MOST) -> int:
    """A whole number, not below `least` nor above `most`.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.core.arguments import whole
        >>> whole("count", 3, least=1)
        3
    """
    try:
        found = operator.index(value)  # type: ignore[arg-type]
    except TypeError:
        # 3.0 is one, too.
        found = int(value) if isinstance(value, float) and value.is_integer() else -1
    if isinstance(value, bool) or not least <= found <= most:
        ends = f"at most {most}" if found > most else f"{least} or more"
        raise DataError(f"{name} = {shown(value)}: expected a whole number, {ends}")
    return found


def above_zero(name: str, value: object) -> float:
    """A finite number above zero.

    Raises:
        DataError: For anything else.
    """
    found = finite(name, value, "a number above zero")
    if found <= 0.0:
        raise DataError(f"{name} = {value}: expected a number above zero")
    return found


def finite(name: str, value: object, expected: str = "a number") -> float:
    """A finite number.

    Raises:
        DataError: For anything else.
    """
    try:
        found = math.nan if isinstance(value, (str, bool)) else float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, OverflowError):
        found = math.nan
    if not math.isfinite(found):
        raise DataError(f"{name} = {shown(value)}: expected {expected}")
    return found


def word(name: str, value: object, known: Collection[str] = ()) -> str:
    """A word, one of those that are known.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.core.arguments import word
        >>> word("sigma", "known", ("estimated", "known"))
        'known'
    """
    if not isinstance(value, str) or (known and value not in known):
        expected = " or ".join(known) if known else "a word"
        raise DataError(f"{name} = {shown(value)}: expected {expected}")
    return value


def paths(name: str, value: object) -> list[str]:
    """Paths of a recipe, several.

    Raises:
        DataError: For anything else; one text is no list of them.
    """
    given = list(value) if isinstance(value, Iterable) and not isinstance(value, str) else None
    if given is None or not all(isinstance(one, str) for one in given):
        raise DataError(f'{name} = {shown(value)}: expected paths such as ["species"]')
    return given


def truth(name: str, value: object) -> bool:
    """True or false.

    Raises:
        DataError: For anything else.
    """
    if isinstance(value, bool) or (is_truth(value) and getattr(value, "ndim", 0) == 0):
        return bool(value)
    raise DataError(f"{name} = {shown(value)}: expected True or False")


def named(name: str, value: object, what: str) -> Mapping[str, Any]:
    """A dictionary by names.

    Raises:
        DataError: For anything else.
    """
    if not isinstance(value, Mapping) or not all(isinstance(key, str) for key in value):
        raise DataError(f"{name} = {shown(value)}: expected {what}")
    return value
