"""Columns of a result as a pandas table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bathkin.core.origin import Origin, origin
from bathkin.core.result import Result

if TYPE_CHECKING:
    import pandas as pd


def frame(columns: Mapping[str, NDArray[np.float64]], recipe: Origin) -> pd.DataFrame:
    """A table that may be changed, of columns that may not; it says what to cite."""
    import pandas as pd

    table: pd.DataFrame = pd.DataFrame({name: values.copy() for name, values in columns.items()})
    table.attrs = {"recipe": recipe.name, "cite": recipe.cite, **origin(recipe)}
    return table


def rows(found: Iterable[Result], of: type[Result]) -> pd.DataFrame:
    """A table of records of one kind, a row each; with its columns also where there is none."""
    import pandas as pd

    names = [field.name for field in fields(of)]  # type: ignore[arg-type]
    table: pd.DataFrame = pd.DataFrame([dict(one) for one in found], columns=names)
    return table
