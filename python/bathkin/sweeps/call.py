"""The call `bathkin.sweep`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from bathkin.core.flags import warn
from bathkin.recipe.recipe import Recipe, as_recipe
from bathkin.sweeps.points import Values, points

if TYPE_CHECKING:
    from bathkin.sweeps.table import Sweep


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
        law, or a partial current), `phosphorus_reason` (named after the alloying element, absent
        for a pure metal) and `free_metal_reason`. A point that cannot be computed, such as a pH
        that its reagent does not reach, has NaN there and says why: in a column `failure_code` for
        programs, in a sentence in `failure`.
        `attrs` carries `recipe` (its name), `metal`, `alloy` and its `alloy_column`, `varied` (the
        paths), `flags` and `cite`.
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
