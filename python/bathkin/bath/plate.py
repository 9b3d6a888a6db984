"""One load: what it got, and its thickness against time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin.bath import results
from bathkin.bath.alloy import Alloyed
from bathkin.core.answer import Tabled

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure


class Plate(Alloyed, Tabled, results.Plate):
    """One load, plated with nothing added."""

    __slots__ = ()
    _title = "Load"

    def table(self) -> pd.DataFrame:
        """The columns as a table, a row per point of time.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> table = bath.plate(30, 10).table()
            >>> bool(table.thickness_um.is_monotonic_increasing)
            True
        """
        import pandas as pd

        table: pd.DataFrame = pd.DataFrame(self.columns.to_dict())
        return table

    def _drawn(self) -> Figure:
        from bathkin.plots.plate import draw_load

        return draw_load(self, self.surface)

    @property
    def surface(self) -> str:
        """Substrate and activation in words."""
        words = self.substrate.replace("_", " ")
        after = self.activation.replace("_", " ")
        return words if self.activation == "none" else f"{words} after {after}"
