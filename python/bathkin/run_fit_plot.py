"""The picture of a fit to runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from bathkin.plots import BLUE, GREY, INK, Picture, plain_axes

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.run_fit import Fit


_WORDS = {
    "mass_gain_mg": "mass gain, mg",
    "thickness_um": "thickness, µm",
    "deposition_um_h": "deposition rate, µm/h",
}


def plot_run_fit(fit: Fit) -> Figure:
    """Calculated against observed, and residuals by row; see `Fit.plot`."""
    columns = fit.columns
    observed, calculated = columns["observed"], columns["calculated"]
    figure = Picture(figsize=(8.4, 4.0), layout="constrained")
    parity, by_row = figure.subplots(1, 2)
    for axes in (parity, by_row):
        plain_axes(axes)
    everything = np.concatenate([observed, calculated])
    low, high = float(everything.min()), float(everything.max())
    margin = 0.05 * (high - low or 1.0)
    ends = [low - margin, high + margin]
    parity.plot(ends, ends, color=BLUE, linewidth=1.2, label="calculated = observed")
    parity.plot(observed, calculated, "o", color=INK, markersize=4.5)
    parity.legend(frameon=False, fontsize=9, loc="upper left")
    measured = [name for name in _WORDS if name in fit.runs.columns]
    quantity = _WORDS[measured[0]] if len(measured) == 1 else "value"
    parity.set_xlabel(f"observed {quantity}")
    parity.set_ylabel(f"calculated {quantity}")
    standardised = columns["standardised_residual"]
    known = bool(np.isfinite(standardised).all())
    by_row.axhline(0.0, color=GREY, linewidth=0.8)
    if known:
        # A few standard deviations, so that the band of two is seen as one.
        reach = max(3.0, 1.1 * float(np.abs(standardised).max()))
        by_row.set_ylim(-reach, reach)
        by_row.axhspan(-2.0, 2.0, color=BLUE, alpha=0.08, lw=0)
    by_row.plot(
        columns["row"],
        standardised if known else columns["residual"],
        "o",
        color=INK,
        markersize=4.5,
    )
    by_row.set_xlabel("row of the runs")
    by_row.set_ylabel(
        "calculated - observed,\nstandard deviations" if known else "calculated - observed, sigma"
    )
    by_row.xaxis.get_major_locator().set_params(integer=True)
    names = ", ".join(path.rsplit(".", 1)[-1] for path in fit.free)
    figure.suptitle(f"{fit.start.name}: {names} fitted to {Path(fit.runs.file).name}", fontsize=10)
    return figure
