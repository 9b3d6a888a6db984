"""Pictures of fits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin.plots.fit_log import plot_log
from bathkin.plots.parity import plot_parity
from bathkin.tables.logs import Log

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.fit.record import FitRecord


def plot_fit(fit: FitRecord, sheet: int | None) -> Figure:
    """One sheet, or without one all data; see `Fit.plot`."""
    if sheet is not None and isinstance(fit.data[sheet], Log):
        return plot_log(fit, sheet)
    return plot_parity(fit, sheet)
