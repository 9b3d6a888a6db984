"""Statistics of a fit by the names that users of lmfit and statsmodels know."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import pandas as pd


class FitStatistics:
    """Part of a fit: what the sum of squares comes to."""

    _document: dict[str, Any]

    @property
    def ndata(self) -> int:
        """Measured values, priors not counted."""
        return int(self._document["ndata"])

    @property
    def nvarys(self) -> int:
        """Free numbers."""
        return int(self._document["nvarys"])

    @property
    def nfree(self) -> int:
        """Values less determined numbers, or what priors leave of them."""
        return int(self._document["nfree"])

    @property
    def nfev(self) -> int:
        """Evaluations of the model in the last search."""
        return int(self._document["nfev"])

    @property
    def chisqr(self) -> float:
        """Sum of squares of the residuals of the measured values, in sigmas."""
        return float(self._document["chisqr"])

    @property
    def redchi(self) -> float | None:
        """The same over `nfree`; None without a degree of freedom."""
        return self._known("redchi")

    @property
    def llf(self) -> float | None:
        """Logarithm of the likelihood.

        None with priors, with a robust loss, for a perfect fit of estimated errors, and where the
        error variances of several columns were estimated, or that of values below a limit.
        """
        return self._known("llf")

    @property
    def aic(self) -> float | None:
        """Akaike's criterion; None where `llf` is."""
        return self._known("aic")

    @property
    def bic(self) -> float | None:
        """Schwarz's criterion; None where `llf` is."""
        return self._known("bic")

    @property
    def covar(self) -> pd.DataFrame:
        """Covariance of `estimates` and `starts` in the recipe's units, by path.

        To first order for those fitted on a log scale; NaN where one has no standard error.
        """
        import pandas as pd

        names, values = self._document["names"], np.array(self._document["covar"], dtype=float)
        frame: pd.DataFrame = pd.DataFrame(values, index=names, columns=names)
        return frame

    def _known(self, name: str) -> float | None:
        value: float | None = self._document[name]
        return value
