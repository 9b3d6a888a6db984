"""Columns of a result as a pandas table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.recipe import Recipe


def frame(columns: Mapping[str, NDArray[np.float64]], recipe: Recipe) -> pd.DataFrame:
    """A table that may be changed, of columns that may not; it says what to cite."""
    import pandas as pd

    table: pd.DataFrame = pd.DataFrame({name: values.copy() for name, values in columns.items()})
    table.attrs = {"recipe": recipe.name, "cite": recipe.cite}
    return table
