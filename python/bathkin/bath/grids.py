"""Points to go through: a range, values, or one value."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from bathkin.core.numbers import is_one, several
from bathkin.core.units import to_number
from bathkin.errors import RecipeError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Points = (
        float | str | tuple[float | str, float | str] | Sequence[float | str] | NDArray[np.float64]
    )

# Points a range is filled with when it is not walked in steps.
_COUNT = 61
_MOST_POINTS = 10_000


def grid(name: str, given: Points, by: str, *, step: float | None = None) -> NDArray[np.float64]:
    """Points as an array.

    Args:
        name: What the points are, with its unit at the end.
        given: A tuple of two for a range, any other sequence for the values themselves, or one
            value. Texts may carry a unit.
        by: Who asks, for messages.
        step: Distance of the points of a range; without it a range has 61 of them.

    Raises:
        RecipeError: For what is no number, or too many points.

    Example:
        >>> from bathkin.bath.grids import grid
        >>> grid("ph", (4, 4.3), "example", step=0.1).tolist()
        [4.0, 4.1, 4.2, 4.3]
        >>> grid("ph", [4, 5], "example").tolist()
        [4.0, 5.0]
    """
    if is_one(given):
        return np.array([to_number(name, given, by)])  # type: ignore[arg-type]
    values = [to_number(name, value, by) for value in several(given, f"{by}: {name}")]
    if len(values) > _MOST_POINTS:
        raise RecipeError(f"{by}: {name}: expected at most {_MOST_POINTS} values")
    if isinstance(given, tuple) and len(values) == 2:
        low, high = values
        if not (np.isfinite(low) and np.isfinite(high)) or low == high:
            raise RecipeError(f"{by}: {name} = {given}: expected a range of two different numbers")
        count = _COUNT if step is None else max(2, round(abs(high - low) / step) + 1)
        if count > _MOST_POINTS:
            raise RecipeError(f"{by}: {name} = {given}: expected a narrower range")
        # Ends of few digits give points of few digits: 4.6, not 4.6000000000000005.
        return np.array([float(f"{value:.12g}") for value in np.linspace(low, high, count)])
    return np.array(values, dtype=np.float64)
