"""The same bath at many settings."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from bathkin.bath.bath import rate_values
from bathkin.core.arguments import check_points
from bathkin.core.flags import Flag, from_dicts, merge, warn
from bathkin.core.numbers import several
from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe, as_recipe

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bathkin.sweeps.table import Sweep

    Values = Sequence[float | str] | NDArray[np.float64]


class Points(NamedTuple):
    """Points of a sweep.

    Attributes:
        varied: Paths that were varied.
        rows: For each point, the varied paths and the rate, by name, and in words what changed
            most since the first point (None for nothing): `reason` for the rate,
            `phosphorus_reason` (named after the alloying element), `free_metal_reason`. A point
            that could not be computed has None for all of them, and says why in `failure`.
        flags: One flag per place, saying how many points it concerns.
    """

    varied: list[str]
    rows: list[dict[str, Any]]
    flags: list[Flag]


def points(recipe: Recipe, varied: Mapping[str, Values], by: str = "sweep") -> Points:
    """Rates of the fresh bath at every combination of values, the last path fastest."""
    if not isinstance(varied, Mapping):
        raise RecipeError(f"{by}: expected a dictionary: for each path the values to go through")
    wanted: list[tuple[str, list[float]]] = []
    for path, values in varied.items():
        given = several(values, f"{by}: {path}")
        wanted.append((path, [to_number(path, value, by) for value in given]))
    check_points(by, (len(values) for _, values in wanted))
    found = [json.loads(point) for point in recipe._core.sweep(wanted)]
    rows, flags, names = [], [], []
    known: dict[str, Any] = next(
        (point["rate"] for point in found if point["rate"] is not None), {}
    )
    nothing = dict.fromkeys(rate_values(known, recipe.alloy_column)) if known else {}
    for point in found:
        settings = dict(point["settings"])
        failure, rate = point["failure"], nothing
        if failure is None:
            rate = rate_values(point["rate"], recipe.alloy_column)
        reasons = {"reason": point["reason"]}
        if recipe.alloy_column is not None:
            element = recipe.alloy_column.removesuffix("_wt_pct")
            reasons[f"{element}_reason"] = point["alloy_reason"]
        reasons["free_metal_reason"] = point["free_metal_reason"]
        rows.append({**settings, **rate, **reasons, "failure": failure})
        doubts = [Flag("sweep", f"no rate: {failure}")] if failure else []
        flags.append([*doubts, *from_dicts(point["flags"])])
        names.append(", ".join(f"{path} = {value:g}" for path, value in settings.items()))
    return Points(list(varied), rows, merge(flags, names))


def sweep(recipe: Recipe | str, varied: Mapping[str, Values]) -> Sweep:
    """Rates of the fresh bath at every combination of values.

    Args:
        recipe: A recipe, or the name or path of one.
        varied: For each path, the values to go through: numbers in the unit that ends the path,
            or texts with a unit. The last path varies fastest.

    Returns:
        One row per point: a column for each varied path, then `deposition_um_h`,
        `deposition_mg_cm2_h`, the alloying element (`phosphorus_wt_pct`), `hydrogen_l_m2_h`,
        `ph`, `free_metal_mol_l`, `ionic_strength_mol_l`, `reductant_efficiency` and more, and
        in words what changed most since the first row: `reason` for the rate (a factor of its
        law, or a branch), `phosphorus_reason` (named after the alloying element, absent for a pure
        metal) and `free_metal_reason`. A point that cannot be computed, such as a pH that its
        reagent does not reach, has NaN there and says why in a column `failure`.
        `attrs` carries `recipe` (its name), `metal`, `varied` (the paths), `flags` and `cite`.
        The table is a pandas DataFrame; its own `plot(path=None)` draws all of it.

    Raises:
        RecipeError: For an impossible value or an empty list, named, and when no point at all can
            be computed.
        UnknownNameError: For a path nobody knows.

    Warns:
        BathkinWarning: Where values leave the range the recipe was made for, and for points that
            cannot be computed.

    Example:
        >>> import bathkin as bk
        >>> table = bk.sweep("nickel-acid", {"operation.ph": [4.4, 4.8, 5.2]})
        >>> table.shape[0]
        3
        >>> bool(table["deposition_um_h"].is_monotonic_increasing)
        True
        >>> table["reason"].iloc[-1].startswith("pH rises from 4.40 to 5.20 (hydrogen ion order): ")
        True
    """
    from bathkin.sweeps.table import sweep_table

    of = as_recipe(recipe)
    found = points(of, varied)
    warn(found.flags)
    return sweep_table(of, found)
