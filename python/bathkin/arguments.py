"""Arguments of calls: numbers that are what they have to be, or a clear refusal."""

from __future__ import annotations

import math
import operator

from bathkin.errors import DataError

# What the core takes for a whole number.
_MOST = 2**53


def whole(name: str, value: object, least: int = 0) -> int:
    """A whole number, not below `least`.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.arguments import whole
        >>> whole("count", 3, least=1)
        3
    """
    try:
        found = operator.index(value)  # type: ignore[arg-type]
    except TypeError:
        # 3.0 is one, too.
        found = int(value) if isinstance(value, float) and value.is_integer() else -1
    if isinstance(value, bool) or not least <= found < _MOST:
        raise DataError(f"{name} = {value}: expected a whole number, {least} or more")
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
    except (TypeError, ValueError):
        found = math.nan
    if not math.isfinite(found):
        raise DataError(f"{name} = {value}: expected {expected}")
    return found
