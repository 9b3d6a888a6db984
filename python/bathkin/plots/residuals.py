"""What pictures of fits have in common: words for columns, the title, the band of residuals."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin.fit.data import names_of
from bathkin.plots.picture import BLUE, GREY, label, named

if TYPE_CHECKING:
    from bathkin.fit.record import FitRecord

_WORDS = {
    "mass_gain_mg": "mass gain, mg",
    "thickness_um": "thickness, µm",
    "deposition_um_h": "deposition rate, µm/h",
    "ph_25c": "pH at 25 °C",
}
_FAR = 3.0


def worded(column: str) -> str:
    """A measured column as an axis label."""
    return _WORDS.get(column) or label(column)


def title(fit: FitRecord, sheet: int | None) -> str:
    """What was fitted to what."""
    names = names_of(fit.data)
    free = ", ".join(named(path)[0] for path in fit.free)
    others = len(names) - 1
    if sheet is None or not others:
        return f"{fit.start.name}: {free}\nfitted to {', '.join(names)}"
    return f"{fit.start.name}: {free}\n{names[sheet]}, fitted with {others} more"


def standardised(axes: Any, residuals: NDArray[np.float64]) -> bool:
    """Draws zero and the band of two standard deviations; false where there are none."""
    axes.axhline(0.0, color=GREY, linewidth=0.8)
    known = bool(np.isfinite(residuals).all())
    if known:
        # A few standard deviations, so that the band of two is seen as one.
        reach = max(_FAR, 1.1 * float(np.abs(residuals).max()))
        axes.set_ylim(-reach, reach)
        axes.axhspan(-2.0, 2.0, color=BLUE, alpha=0.08, lw=0)
    return known
