"""Where the values of members come from: a table, a grid, or distributions."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bathkin import _core
from bathkin.core.arguments import MOST_MEMBERS, whole, word
from bathkin.core.numbers import is_one, several, shown
from bathkin.core.units import to_difference, to_number
from bathkin.errors import RecipeError
from bathkin.tables.cells import decimal_mark
from bathkin.tables.headings import Heading
from bathkin.tables.sheets import cells_of

if TYPE_CHECKING:
    import pandas as pd

# A distribution: a text "normal(4.8, 0.1)", or its name with its numbers ("normal", 4.8, 0.1).
Spread: TypeAlias = "str | tuple[str | float, ...]"
Draws: TypeAlias = "Mapping[str, Any] | pd.DataFrame | str | os.PathLike[str]"

SAMPLING = ("random", "sobol")
# Members of a call that does not say how many.
_USUAL = {"random": 1000, "sobol": 1024}
# Numbers of a distribution that are differences of values, by their places; those without a unit.
_DIFFERENCES = {("normal", 1), ("prior", 1)}
_PLAIN = {("lognormal", 1)}
_CALL = re.compile(r"\s*([a-z_]+)\s*(?:\((.*)\))?\s*")


class Asked(NamedTuple):
    """Draws as the core takes them.

    Attributes:
        paths: Paths of the numbers that vary.
        of: Kind, columns of values, distributions, sizes (number of members, first of a table).
        members: How many there are.
    """

    paths: list[str]
    of: tuple[str, list[NDArray[np.float64]], list[tuple[str, list[float]]], list[int]]
    members: int


def read_draws(draws: Draws, members: int | None, sampling: str) -> Asked:
    """Reads draws.

    Raises:
        RecipeError: For anything that is neither a table, nor a grid, nor distributions.
        DataError: For a table that cannot be read.
    """
    word("sampling", sampling, SAMPLING)
    if isinstance(draws, (str, os.PathLike)) or hasattr(draws, "columns"):
        return _counted(_table(draws), members)
    if not isinstance(draws, Mapping) or not all(isinstance(path, str) for path in draws):
        expected = "expected for each path values or a distribution, or a table"
        raise RecipeError(f"ensemble: draws = {shown(draws)}: {expected}")
    if not draws:
        raise RecipeError("ensemble: draws = {}: expected at least one path")
    spread = [path for path, given in draws.items() if _is_spread(given)]
    if not spread:
        return _counted(_grid(draws), members)
    if len(spread) < len(draws):
        path = next(path for path in draws if path not in spread)
        told = f"ensemble: {path} = {shown(draws[path])} beside distributions such as {spread[0]}"
        raise RecipeError(f"{told}: expected distributions alone, or values alone")
    count = whole("members", _USUAL[sampling] if members is None else members, 1, MOST_MEMBERS)
    return Asked(list(draws), (sampling, [], _spreads(draws), [count]), count)


def read_spreads(draws: object, kind: str, sizes: Sequence[int], members: int) -> Asked:
    """Reads distributions for the points of a method.

    Raises:
        RecipeError: For anything but distributions, and for more members than can be.
    """
    given = draws if isinstance(draws, Mapping) and draws else {}
    if not given or not all(
        isinstance(path, str) and _is_spread(one) for path, one in given.items()
    ):
        expected = 'expected for each path a distribution such as "uniform(4.6, 5.0)"'
        raise RecipeError(f"global_sensitivity: draws = {shown(draws)}: {expected}")
    if members > MOST_MEMBERS:
        expected = f"expected at most {MOST_MEMBERS}: ask for fewer points"
        raise RecipeError(f"global_sensitivity: {members} members: {expected}")
    return Asked(list(given), (kind, [], _spreads(given), list(sizes)), members)


def _spreads(draws: Mapping[str, Any]) -> list[tuple[str, list[float]]]:
    return [_spread(path, given) for path, given in draws.items()]


def _counted(asked: Asked, members: int | None) -> Asked:
    """A table or a grid, which have as many members as they have."""
    if members is not None and members != asked.members:
        told = f"members = {shown(members)}: these values make {asked.members} members"
        raise RecipeError(f"ensemble: {told}: leave it out")
    return asked


def _is_spread(given: object) -> bool:
    if isinstance(given, str):
        return True
    return isinstance(given, tuple) and len(given) > 0 and isinstance(given[0], str)


def _grid(draws: Mapping[str, Any]) -> Asked:
    """Every combination of values."""
    columns = []
    for path, given in draws.items():
        if is_one(given):
            expected = 'values to go through, or a distribution such as "normal(4.8, 0.1)"'
            told = f"ensemble: {path} = {shown(given)}: expected {expected}"
            raise RecipeError(f"{told}; Recipe.set changes a number for all members")
        values = several(given, f"ensemble: {path}")
        columns.append(
            np.array([to_number(path, value, "ensemble") for value in values], dtype=float)
        )
    count = 1
    for column in columns:
        count *= len(column)
    if count > MOST_MEMBERS:
        expected = f"expected at most {MOST_MEMBERS}: vary fewer values"
        raise RecipeError(f"ensemble: {count} combinations of values: {expected}")
    return Asked(list(draws), ("grid", columns, [], []), count)


def _table(draws: Any) -> Asked:
    """A row per member, a column per path."""
    if isinstance(draws, (str, os.PathLike)):
        place, header, rows, report = cells_of(os.fspath(draws))
        heads = [Heading(name, name, None) for name in header]
        mark = decimal_mark(place, heads, rows, report)
        columns = [
            np.array([_cell(place, name, at, row[column], mark) for at, row in enumerate(rows)])
            for column, name in enumerate(header)
        ]
        paths = list(header)
    else:
        place, paths = "table", [str(name) for name in draws.columns]
        try:
            # By place: two columns may have one name, which the core refuses.
            columns = [draws.iloc[:, at].to_numpy(dtype=float) for at in range(len(paths))]
        except (TypeError, ValueError) as error:
            raise RecipeError(f"ensemble: {place}: expected numbers alone: {error}") from error
    count = len(columns[0]) if columns else 0
    return Asked(paths, ("table", columns, [], [0]), count)


def _cell(place: str, name: str, row: int, cell: str, mark: str | None) -> float:
    if _core.is_empty_cell(cell):
        return float("nan")
    return to_number(name, _core.with_point(cell, mark), f"{place}: row {row + 1}")


def _spread(path: str, given: str | Sequence[Any]) -> tuple[str, list[float]]:
    """A distribution by its name and numbers."""
    if isinstance(given, str):
        match = _CALL.fullmatch(given)
        if match is None:
            expected = 'a distribution such as "normal(4.8, 0.1)"'
            raise RecipeError(f"ensemble: {path} = {shown(given)}: expected {expected}")
        name, inside = match[1], match[2]
        numbers: list[Any] = [] if inside is None else [one.strip() for one in inside.split(",")]
    else:
        name, numbers = given[0], list(given[1:])
    return name, [_number(path, name, at, one) for at, one in enumerate(numbers)]


def _number(path: str, name: str, at: int, given: Any) -> float:
    """A number of a distribution, in the unit of the path."""
    by = f"ensemble: {name}"
    if (name, at) in _PLAIN:
        try:
            return float(given)
        except (TypeError, ValueError) as error:
            raise RecipeError(f"{by}: {shown(given)}: expected a plain number") from error
    read = to_difference if (name, at) in _DIFFERENCES else to_number
    return read(path, given, by)
