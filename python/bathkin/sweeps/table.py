"""The table of a sweep, a DataFrame that draws itself."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pandas as pd

from bathkin.core.origin import origin

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.recipe.document import RecipeDocument
    from bathkin.sweeps.points import Points

# Columns of a point that hold a table themselves.
_BY_NAME = [
    "half_reactions_mol_m2_s",
    "bulk_reactions_mol_l_s",
    "partial_currents_ma_cm2",
    "factors",
]


class Sweep(pd.DataFrame):
    """What `bathkin.sweep` returns: one row per point, and `plot`.

    Its parts, such as `table[table["ph"] > 4.5]`, are plain tables with the `plot` of pandas.
    """

    def plot(self, path: str | os.PathLike[str] | None = None) -> Figure:  # type: ignore[override]
        """Rate, alloying element and free metal over what was varied, and the reasons below.

        The first varied path is the abscissa, the second has a line per value, the third a column
        of panels per value. A panel of the surface pH is added where a film makes it differ from
        the bath's, one of plate-out where the recipe has a law for it; a pure metal has no panel
        of an alloying element.

        Args:
            path: Picture file to write as well, its format by its ending; replaced if it exists.

        Returns:
            The figure, which a notebook shows by itself.

        Raises:
            RecipeError: When no path or more than three were varied, or for an unknown ending.
            OSError: When the file cannot be written.

        Example:
            >>> import bathkin as bk
            >>> paths = {"operation.ph": [4.4, 4.8, 5.2], "operation.temperature_c": [80, 88]}
            >>> [axes.get_ylabel() for axes in bk.sweep("nickel-acid", paths).plot().axes]
            ['rate, µm/h', 'phosphorus, wt%', 'free nickel, mol/L']
        """
        from bathkin.plots.picture import check_format, saved
        from bathkin.plots.sweep import draw_sweep

        if path is not None:
            check_format(path)
        return saved(draw_sweep(self), path)


def sweep_table(recipe: RecipeDocument, found: Points) -> Sweep:
    """The points of a sweep as a table."""
    drop = list(_BY_NAME)
    if all(row["potential_v_she"] is None for row in found.rows):
        drop.append("potential_v_she")
    if all(row["failure"] is None for row in found.rows):
        drop += ["failure_code", "failure"]
    columns: pd.DataFrame = pd.DataFrame(found.rows).drop(columns=drop)
    columns["plate_out_pct"] = columns["plate_out_pct"].astype(float)
    table: Sweep = Sweep(columns)
    table.attrs = {
        "recipe": recipe.name,
        "metal": recipe.metal,
        "alloy": recipe.alloy,
        "alloy_column": recipe.alloy_column,
        "varied": found.varied,
        "flags": [flag.to_dict() for flag in found.flags],
        "cite": recipe.cite,
        **origin(recipe),
    }
    return table
