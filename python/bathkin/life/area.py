"""How much area one turnover plates."""

from __future__ import annotations

from bathkin import _core
from bathkin.core.units import to_number
from bathkin.errors import RecipeError


def area_per_turnover_m2(
    *,
    volume_l: float | str,
    metal_g_l: float | str,
    thickness_um: float | str,
    phosphorus_wt_pct: float | str,
    density_g_cm3: float | str,
) -> float:
    """Area plated when all the metal of the made-up bath has been plated once.

    Args:
        volume_l: Bath volume, L, or a text with a unit ("200 gal").
        metal_g_l: Metal, g/L, or a text with a unit ("0.8 oz/gal").
        thickness_um: Thickness, um, or a text with a unit ("0.5 mil").
        phosphorus_wt_pct: Alloying element in the deposit, wt%.
        density_g_cm3: Density of the deposit, g/cm3.

    Returns:
        Area, m2.

    Raises:
        RecipeError: For a value that is not above zero, 100 wt% or more, or a wrong unit.

    Example:
        >>> import bathkin as bk
        >>> area = bk.area_per_turnover_m2(
        ...     volume_l="1 gal",
        ...     metal_g_l=6,
        ...     thickness_um="1 mil",
        ...     phosphorus_wt_pct=8,
        ...     density_g_cm3=8,
        ... )
        >>> round(area, 4)
        0.1215
    """
    given = {
        "volume_l": volume_l,
        "metal_g_l": metal_g_l,
        "thickness_um": thickness_um,
        "phosphorus_wt_pct": phosphorus_wt_pct,
        "density_g_cm3": density_g_cm3,
    }
    caller = "area_per_turnover_m2"
    values = {name: to_number(name, value, caller) for name, value in given.items()}
    for name, value in values.items():
        low_enough = value < 100.0 if name.endswith("_pct") else value < float("inf")
        high_enough = value >= 0.0 if name.endswith("_pct") else value > 0.0
        if not (low_enough and high_enough):
            expected = "0 or more, below 100" if name.endswith("_pct") else "a number above zero"
            raise RecipeError(f"{caller}: {name} = {value:g}: expected {expected}")
    return _core.area_per_turnover_m2(*values.values())
