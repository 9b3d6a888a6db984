"""Quantities with a unit, as the trade writes them, to the number a path wants.

The unit a number is wanted in ends the last word of its path: `operation.temperature_c` is in
degC, `work.loading_dm2_l` in dm2/L. Gallons and ounces are those of the United States:
1 oz/gal = 7.48915 g/L.
"""

from __future__ import annotations

import math
import re
import warnings
from functools import lru_cache
from typing import Any

from bathkin import _core
from bathkin.core.numbers import number_given
from bathkin.errors import DataError, EntryWarning, RecipeError

_NUMBER = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)", re.DOTALL)
_ALLOWED = re.compile(r"[A-Za-z0-9_*/().\- ]+")
# Spellings of the trade that the unit library reads differently or not at all.
_SPELLINGS = {
    "mil": "thou",
    "mils": "thou",
    "sqft": "ft**2",
    "sqin": "inch**2",
    "sqdm": "dm**2",
    "in": "inch",
    "gals": "gal",
    "hrs": "h",
    "mins": "min",
    "l": "L",
}
_TEMPERATURES = {
    "c": "degC",
    "degc": "degC",
    "celsius": "degC",
    "f": "degF",
    "degf": "degF",
    "fahrenheit": "degF",
    "k": "kelvin",
    "kelvin": "kelvin",
    "degk": "kelvin",
}


@lru_cache(maxsize=1024)
def unit_of(path: str) -> tuple[str, str] | None:
    """Unit a path's number is in, and what it measures; None for a plain number.

    Args:
        path: Dotted path such as `tank.volume_l`.

    Example:
        >>> from bathkin.core.units import unit_of
        >>> unit_of("tank.volume_l")
        ('L', 'a volume in L')
        >>> unit_of("operation.ph") is None
        True
    """
    return _core.unit_of(path)


def to_number(path: str, value: float | str, by: str = "value") -> float:
    """A number in the unit that a path's name ends with.

    Args:
        path: Dotted path, or any name that ends with its unit.
        value: A number, taken as it is, a text with or without a unit, or a quantity (of pint).
        by: Who gave it, for the message.

    Returns:
        The number in the unit of the path.

    Raises:
        RecipeError: For a text that is no quantity, an unknown unit, or a unit of another kind.

    Warns:
        EntryWarning: For a deposition rate beyond anything these baths do.

    Example:
        >>> from bathkin.core.units import to_number
        >>> round(to_number("operation.temperature_c", "190 degF"), 2)
        87.78
        >>> round(to_number("work.loading_dm2_l", "0.3 ft2/gal"), 3)
        0.736
        >>> to_number("tank.volume_l", 400)
        400.0
        >>> round(to_number("tank.volume_l", "3 ft x 6 ft x 4.5 ft"), 1)
        2293.7
        >>> round(to_number("tank.volume_l", "23 in dia x 14 in"), 1)
        95.3
    """
    wanted = unit_of(path)
    number = _read(path, value, by, wanted)
    if wanted is not None and wanted[0] == "um/h":
        _check_rate(path, str(value).strip(), number, by)
    return number


def to_difference(path: str, value: float | str, by: str = "value") -> float:
    """A difference of two numbers in the unit that a path's name ends with: 4 degF are 2.22 K.

    Raises:
        RecipeError: As `to_number`.

    Example:
        >>> from bathkin.core.units import to_difference
        >>> to_difference("operation.temperature_c", "9 degF")
        5.0
    """
    match = _NUMBER.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None or not match[2].strip():
        return to_number(path, value, by)
    ends = (to_number(path, f"{number} {match[2]}", by) for number in (match[1], "0"))
    far, near = ends
    return float(f"{far - near:.12g}")


def _check_rate(path: str, text: str, um_h: float, by: str) -> None:
    """Warns of a deposition rate, um/h, that no electroless bath reaches."""
    if um_h > _core.FASTEST_UM_H:
        message = f"{by}: {path} = {text}: {um_h:.6g} um/h is implausible, per hour?"
        warnings.warn(EntryWarning(message, path), stacklevel=3)


def _read(path: str, value: float | str, by: str, wanted: tuple[str, str] | None) -> float:
    if not isinstance(value, str):
        return number_given(value, wanted, f"{by}: {path}")
    text = value.strip()
    expected = wanted[1] if wanted else "a plain number, for the name carries no unit"
    sides = [side.strip() for side in re.split(r"\s*[x\u00d7]\s+", text)]
    if wanted is not None and len(sides) > 1:
        return _size(by, path, text, sides, wanted)
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise _refusal(by, path, text, expected)
    magnitude, unit = float(match[1]), match[2].strip()
    if unit.startswith(","):
        raise _refusal(by, path, text, f"{expected}; write a decimal point and no thousands comma")
    if not unit:
        return magnitude
    if wanted is None:
        raise _refusal(by, path, text, expected)
    target, _ = wanted
    if target == "percent":
        if unit.lower() in {"%", "percent", "pct", "wt%", "wt pct"}:
            return magnitude
        raise _refusal(by, path, text, expected)
    return _convert(by, path, text, magnitude, unit, target, expected)


def _size(by: str, path: str, text: str, sides: list[str], wanted: tuple[str, str]) -> float:
    """A volume or an area from its sides; a side that ends in `dia` is that of a drum."""
    magnitude, units = 1.0, []
    for side in sides:
        match = _NUMBER.fullmatch(side)
        if match is None or not match[2].strip():
            raise _refusal(by, path, text, f"{wanted[1]}: a unit with every side")
        across, unit = float(match[1]), match[2].strip()
        plain = re.sub(r"\s+dia(meter)?$", "", unit)
        power = 1 if plain == unit else 2
        magnitude *= across if power == 1 else math.pi / 4.0 * across**2
        # In words the unit library knows; powers of a side stand for themselves.
        units += [_SPELLINGS.get(plain, plain)] * power
    return _convert(by, path, text, magnitude, "*".join(units), *wanted)


def slope_to_kelvin(name: str, slope: float | str) -> float:
    """A slope of ln k against 1/T in K, from a number or a text with a unit.

    The exponent, slope/T, has no dimension: a slope in anything but K is refused.

    Raises:
        DataError: For a text that is no quantity, or where the exponent would have a dimension.

    Example:
        >>> from bathkin.core.units import slope_to_kelvin
        >>> slope_to_kelvin("slope_k", "-8.27 kK")
        -8270.0
    """
    if not isinstance(slope, str):
        return number_given(slope, ("kelvin", "a slope in K"), name)
    match = _NUMBER.fullmatch(slope.strip())
    if match is None:
        raise DataError(f"{name} = {slope}: expected a number with or without K", column=name)
    magnitude, unit = float(match[1]), match[2].strip()
    # degC and degF have an offset, which a slope must not get.
    plain = _TEMPERATURES.get(unit.lower(), unit) or "kelvin"
    try:
        if plain in {"degC", "degF"} or not _ALLOWED.fullmatch(plain):
            raise ValueError(plain)
        converted = _registry().Quantity(magnitude, plain).to("kelvin").magnitude
    except Exception as error:  # the unit library raises many kinds
        raise DataError(
            f"{name} = {slope}: exponent not dimensionless: in exp(slope/T) the slope is in K, not"
            f" {unit} (E/kB*T is not E/(kB*T))",
            column=name,
        ) from error
    return float(f"{converted:.13g}")


def _convert(
    by: str, path: str, text: str, magnitude: float, unit: str, target: str, expected: str
) -> float:
    import pint

    plain = unit.replace("\u00b5", "u").replace("\u03bc", "u").replace("\u00b0", "deg")
    plain = plain.replace("\u00ba", "deg").replace("\u2103", "degC").replace("\u2109", "degF")
    plain = plain.replace("\u00b2", "2").replace("\u00b3", "3").replace("\u00b7", "*")
    if target in {"degC", "kelvin"}:
        plain = _TEMPERATURES.get(plain.lower().replace(" ", ""), plain)
    else:
        plain = re.sub(r"\b(?:sq|square)\.? ?(ft|in|dm|m|cm)\b", r"\1**2", plain)
        plain = re.sub(r"\b([A-Za-z]+)\^?([23])\b", r"\1**\2", plain)
        plain = re.sub(r"[A-Za-z]+", lambda word: _SPELLINGS.get(word[0], word[0]), plain)
    if not _ALLOWED.fullmatch(plain):
        raise _refusal(by, path, text, expected)
    try:
        quantity = _registry().Quantity(magnitude, _unit(plain))
    except Exception as error:  # the unit library raises many kinds for a text it cannot read
        raise _refusal(by, path, text, f"{expected}; the unit '{unit}' is not known") from error
    try:
        converted = float(quantity.to(_unit(target)).magnitude)
    except pint.DimensionalityError as error:
        hint = f"{expected}; '{unit}' measures something else"
        raise _refusal(by, path, text, hint) from error
    # Round-off of the conversion goes: 77 degF is 25 degC.
    return float(f"{converted:.13g}")


def _refusal(by: str, path: str, text: str, expected: str) -> RecipeError:
    return RecipeError(f"{by}: {path} = {text}: expected {expected}")


@lru_cache(maxsize=1024)
def _unit(text: str) -> Any:
    # A column has the same unit in every cell, and the library reads it slowly.
    return _registry().parse_units(text)


@lru_cache(maxsize=1024)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()
