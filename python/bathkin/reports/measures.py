"""Volumes as a shop measures them: litres or gallons, in steps of its jugs."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

ML_PER_L = 1000.0
# US fluid ounce and gallon (by definition).
ML_PER_FL_OZ = 29.5735295625
ML_PER_GALLON = 128.0 * ML_PER_FL_OZ
# Of a dose, the step that is still worth measuring.
_FINE = 0.02
_MARKS_ML = [10.0**power * digit for power in range(-2, 4) for digit in (1.0, 2.0, 5.0)]
# Ounce, gill (1/4 pint), cup, pint, quart.
_MARKS_FL_OZ = (1.0, 2.0, 4.0, 8.0, 16.0, 32.0)


def mark_ml(doses_ml: Sequence[float], unit: str) -> float:
    """The largest usual mark of a jug that is no more than 2 % of the middle dose, mL.

    Example:
        >>> from bathkin.reports.measures import mark_ml
        >>> mark_ml([2350.0, 4100.0, 900.0], "L"), round(mark_ml([9000.0], "gal"), 2)
        (20.0, 118.29)
    """
    marks = _MARKS_ML if unit == "L" else [ML_PER_FL_OZ * mark for mark in _MARKS_FL_OZ]
    doses = [dose for dose in doses_ml if dose > 0.0]
    fine = _FINE * median(doses) if doses else marks[0]
    return max((mark for mark in marks if mark <= fine), default=marks[0])


def measured(volume_ml: float, unit: str, step_ml: float | None = None) -> str:
    """A volume in litres (below 100 mL in mL), or in gallons (below one in fluid ounces).

    Example:
        >>> from bathkin.reports.measures import measured
        >>> measured(2350.0, "L", 50.0), measured(50.0, "L", 50.0)
        ('2.35 L', '50 mL')
        >>> measured(9463.53, "gal", 118.29), measured(473.18, "gal", 118.29)
        ('2.50 gal', '16 fl oz')
    """
    if unit == "L":
        large, small, from_ml, names = ML_PER_L, 1.0, 0.1 * ML_PER_L, ("L", "mL")
    else:
        large, small, from_ml, names = ML_PER_GALLON, ML_PER_FL_OZ, ML_PER_GALLON, ("gal", "fl oz")
    step = step_ml if step_ml is not None else 0.005 * abs(volume_ml)
    if abs(volume_ml) >= from_ml * (1.0 - 1e-9):
        return f"{volume_ml / large:.{_decimals(step / large)}f} {names[0]}"
    return f"{volume_ml / small:.{_decimals(step / small)}f} {names[1]}"


def _decimals(step: float) -> int:
    """Decimals that tell one step from the next, three at most."""
    return next((count for count in range(3) if step >= 0.999 * 10.0**-count), 3)
