"""What is asked of an optimum: numbers with their bounds, goals, limits."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from bathkin.core.arguments import MOST_STARTS, finite, named, whole
from bathkin.core.numbers import is_one, shown
from bathkin.core.units import to_number
from bathkin.errors import RecipeError

# Bounds (low, high) of each path.
Vary: TypeAlias = "Mapping[str, Sequence[Any]]"
# (at least, at most) of each output or quantity, None for a side without a limit; or ">= 12".
Limits: TypeAlias = "Mapping[str, Any]"
# As the core takes it.
Given: TypeAlias = (
    "tuple[list[tuple[str, float, float]], list[tuple[str, bool]],"
    " list[tuple[str, float | None, float | None]], list[str], tuple[int, int, int, int]]"
)

_MOST_POINTS = 2**20
_MOST_ROUNDS = 100
_SIDE = re.compile(r"\s*(>=|<=)\s*(.+?)\s*")


def asked(
    by: str,
    vary: Vary,
    aims: Sequence[tuple[str, bool]],
    limits: Limits | None,
    outputs: Sequence[str],
    counts: tuple[object, object, object, object],
) -> Given:
    """What is asked, as the core takes it.

    Raises:
        RecipeError: For bounds or limits that are none.
        DataError: For counts that are none.
    """
    points, starts, restarts, seed = counts
    if is_one(outputs) or not all(isinstance(name, str) for name in outputs):
        expected = 'expected a list of names such as ["end.ph"]'
        raise RecipeError(f"{by}: outputs = {shown(outputs)}: {expected}")
    boxes = named(f"{by}: vary", vary, "for each path its bounds, (low, high)")
    bands = named(f"{by}: limits", limits or {}, "for each output (at least, at most)")
    return (
        [_box(by, path, ends) for path, ends in boxes.items()],
        list(aims),
        [_band(by, name, sides) for name, sides in bands.items()],
        list(outputs),
        (
            whole("points", points, 4, _MOST_POINTS),
            whole("starts", starts, 1, MOST_STARTS),
            whole("restarts", restarts, 0, _MOST_ROUNDS),
            whole("seed", seed),
        ),
    )


def names(by: str, side: str, given: object) -> list[str]:
    """Names of goals: one, or several.

    Raises:
        RecipeError: For anything else.
    """
    listed: Any = [] if given is None else [given] if isinstance(given, str) else given
    if is_one(listed) or not all(isinstance(name, str) for name in listed):
        expected = 'expected the name of an output such as "dump.cost_per_m2"'
        raise RecipeError(f"{by}: {side} = {shown(given)}: {expected}")
    return list(listed)


def _box(by: str, path: str, ends: Any) -> tuple[str, float, float]:
    if is_one(ends) or len(ends) != 2:
        raise RecipeError(f"{by}: {path} = {shown(ends)}: expected its bounds, (low, high)")
    low, high = ends
    return path, to_number(path, low, by), to_number(path, high, by)


def _band(by: str, name: str, sides: Any) -> tuple[str, float | None, float | None]:
    expected = 'expected (at least, at most), None for a side without a limit, or ">= 12"'
    if isinstance(sides, str):
        match = _SIDE.fullmatch(sides)
        if match is None:
            raise RecipeError(f"{by}: {name} = {shown(sides)}: {expected}")
        bound = _side(by, name, match[2])
        return (name, bound, None) if match[1] == ">=" else (name, None, bound)
    if is_one(sides) or len(sides) != 2:
        raise RecipeError(f"{by}: {name} = {shown(sides)}: {expected}")
    low, high = (None if side is None else _side(by, name, side) for side in sides)
    return name, low, high


def _side(by: str, name: str, side: Any) -> float:
    if isinstance(side, str):
        return to_number(name, side, by)
    return finite(f"{by}: {name}", side, "a number")
