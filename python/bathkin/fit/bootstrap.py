"""A fit repeated on data that could have come instead."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin.fit import results

if TYPE_CHECKING:
    import pandas as pd


class Bootstrap(results.Bootstrap):
    """A fit repeated on data that could have come instead. Made by `Fit.bootstrap`."""

    __slots__ = ()

    def table(self) -> pd.DataFrame:
        """The repeats as a pandas table."""
        import pandas as pd

        frame: pd.DataFrame = pd.DataFrame(self.draws.copy(), columns=self.names)
        return frame
