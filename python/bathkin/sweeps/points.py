"""The points of a sweep: settings, rates, and what changed them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from bathkin.core.arguments import check_points
from bathkin.core.flags import Flag, merge
from bathkin.core.numbers import several
from bathkin.core.units import to_number
from bathkin.errors import RecipeError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bathkin.recipe.document import RecipeDocument

Values: TypeAlias = "Sequence[float | str] | NDArray[np.float64]"


class Points(NamedTuple):
    """Points of a sweep.

    Attributes:
        varied: Paths that were varied.
        rows: For each point, the varied paths and the rate, by name, and in words what changed
            most since the first point (None for nothing): `reason` for the rate,
            `phosphorus_reason` (named after the alloying element), `free_metal_reason`. A point
            that could not be computed has None for all of them; `failure_code` says why in a word
            for programs, `failure` in a sentence.
        flags: One flag per place, saying how many points it concerns.
    """

    varied: list[str]
    rows: list[dict[str, Any]]
    flags: list[Flag]


def points(recipe: RecipeDocument, varied: Mapping[str, Values], by: str = "sweep") -> Points:
    """Rates of the fresh bath at every combination of values, the last path fastest."""
    if not isinstance(varied, Mapping):
        raise RecipeError(f"{by}: expected a dictionary: for each path the values to go through")
    wanted: list[tuple[str, list[float]]] = []
    for path, values in varied.items():
        given = several(values, f"{by}: {path}")
        wanted.append((path, [to_number(path, value, by) for value in given]))
    check_points(by, (len(values) for _, values in wanted))
    found = recipe._core.sweep(wanted)
    rows, flags, names = [], [], []
    first = next((point.rate for point in found if point.rate is not None), None)
    nothing: dict[str, Any] = {} if first is None else dict.fromkeys(name for name, _ in first)
    for point in found:
        rate = nothing if point.rate is None else dict(point.rate)
        reasons = {"reason": point.reason}
        if recipe.alloy_column is not None:
            element = recipe.alloy
            reasons[f"{element}_reason"] = point.alloy_reason
        reasons["free_metal_reason"] = point.free_metal_reason
        failure = point.failure
        said: dict[str, Any] = {
            "failure_code": failure and failure.code,
            "failure": failure and failure.text,
        }
        rows.append({**point.settings, **rate, **reasons, **said})
        warnings = [] if failure is None else [Flag("sweep", f"no rate: {failure.text}")]
        flags.append([*warnings, *point.flags])
        names.append(", ".join(f"{path} = {value:g}" for path, value in point.settings.items()))
    return Points(list(varied), rows, merge(flags, names))
