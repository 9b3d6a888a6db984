"""Columns of a result as a pandas table."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin.reports.inputs import versions

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.recipe.recipe import Recipe


def origin(recipe: Recipe) -> dict[Hashable, Any]:
    """What a table was computed from: digest of the recipe, what was changed in it, versions."""
    return {"digest": recipe.digest, "changed": recipe.changed, "versions": versions()}


def frame(columns: Mapping[str, NDArray[np.float64]], recipe: Recipe) -> pd.DataFrame:
    """A table that may be changed, of columns that may not; it says what to cite."""
    import pandas as pd

    table: pd.DataFrame = pd.DataFrame({name: values.copy() for name, values in columns.items()})
    table.attrs = {"recipe": recipe.name, "cite": recipe.cite, **origin(recipe)}
    return table
