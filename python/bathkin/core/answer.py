"""What results have in common that are tables: a file and a picture."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, ClassVar

from bathkin.core import files

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure


class Drawn:
    """A result with a picture."""

    __slots__ = ()

    def plot(self, path: str | os.PathLike[str] | None = None) -> Figure:
        """A picture.

        Args:
            path: File to write the picture to as well; the ending names the format.

        Returns:
            A matplotlib figure, not tied to any window.

        Raises:
            RecipeError: For a picture format that is not known.
            OSError: When the file cannot be written.
        """
        from bathkin.plots.picture import saved

        return saved(self._drawn(), path)

    def _drawn(self) -> Figure:
        raise NotImplementedError


class Tabled(Drawn):
    """A result with a table, a file and a picture."""

    __slots__ = ()
    # Whether the first column of its files is the index of the table.
    _INDEXED: ClassVar[bool] = False

    def table(self) -> pd.DataFrame:
        """The rows as a pandas table."""
        raise NotImplementedError

    def to_csv(self, path: str | os.PathLike[str]) -> None:
        """Writes the table as CSV, with a decimal point and column names that carry the unit.

        Raises:
            OSError: When the file cannot be written.
        """
        files.write_table(path, self.table(), index=self._INDEXED, keep=self._sources())

    def _sources(self) -> list[Path]:
        """Files that it was computed from, which no table may overwrite."""
        return []
