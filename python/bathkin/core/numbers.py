"""Numbers as callers hand them over: of Python, of NumPy, and quantities of a unit library."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from bathkin.errors import RecipeError

_LONGEST = 60


def is_quantity(value: object) -> bool:
    """Whether it is a quantity with a unit of its own, as pint has them."""
    return hasattr(value, "magnitude") and hasattr(value, "to")


def number_given(value: object, wanted: tuple[str, str] | None, refused: str) -> float:
    """A number from what is no text.

    Args:
        value: A number, an array of no dimension, or a quantity with a unit.
        wanted: The unit a quantity is converted to and what it measures; None for a plain number.
        refused: How a refusal begins: who gave it, and for what.

    Raises:
        RecipeError: For anything else: several numbers, none, a quantity of another kind.

    Example:
        >>> import numpy as np
        >>> from bathkin.core.numbers import number_given
        >>> number_given(np.array(88.0), ("degC", "a temperature in degC"), "set: temperature_c")
        88.0
    """
    expected = wanted[1] if wanted else "a plain number, for the name carries no unit"
    if is_quantity(value):
        return _converted(value, wanted, refused, expected)
    count = _count(value)
    if count is not None:
        message = f"{refused}: got {count} values, expected one: {expected}"
        raise RecipeError(f"{message}; bathkin.sweep goes through several")
    try:
        if value is None or isinstance(value, (bool, complex)) or is_truth(value):
            raise TypeError
        return float(value)  # type: ignore[arg-type]
    except OverflowError as error:
        about = round(math.log10(2.0) * abs(int(value)).bit_length())  # type: ignore[call-overload]
        message = f"{refused} = a whole number of about {about} digits: expected {expected}"
        raise RecipeError(f"{message}, below 1e308") from error
    except (TypeError, ValueError) as error:
        raise RecipeError(f"{refused} = {shown(value)}: expected {expected}") from error


def is_one(value: object) -> bool:
    """Whether it is one value and not several."""
    one = isinstance(value, (str, bytes)) or not isinstance(value, Iterable)
    return one or getattr(value, "ndim", 1) == 0


def several(values: object, refused: str) -> list[Any]:
    """A list of what a caller goes through.

    Raises:
        RecipeError: For one value, a dictionary, or nothing.
    """
    if is_one(values) or isinstance(values, Mapping):
        raise RecipeError(f"{refused} = {shown(values)}: expected a list of values to go through")
    found: list[Any] = list(values)  # type: ignore[call-overload]
    if not found:
        raise RecipeError(f"{refused}: expected at least one value")
    return found


def _count(value: object) -> int | None:
    """How many values it holds; None for one."""
    if isinstance(value, (str, bytes)):
        return None
    size = getattr(value, "size", None)
    if getattr(value, "ndim", 0) and isinstance(size, int):
        return size
    return len(value) if isinstance(value, (list, tuple, set, dict, range)) else None


def is_truth(value: object) -> bool:
    """Whether it is a boolean of NumPy, which would count as a number."""
    return getattr(getattr(value, "dtype", None), "kind", "") == "b"


def _converted(value: Any, wanted: tuple[str, str] | None, refused: str, expected: str) -> float:
    unit = wanted[0] if wanted else ""
    try:
        converted = value.to(unit).magnitude
    except Exception as error:  # unit libraries raise many kinds
        hint = f"{expected}; that measures something else"
        raise RecipeError(f"{refused} = {shown(value)}: expected {hint}") from error
    number = number_given(converted, wanted, refused)
    # Round-off of the conversion goes: 77 degF is 25 degC.
    return float(f"{number:.13g}")


def shown(value: object) -> str:
    """A value for a message, cut short."""
    try:
        text = f"{value}"
    except Exception:  # what cannot even be written
        text = type(value).__name__
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 3]}..."
