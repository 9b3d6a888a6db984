"""An activation energy from rates at several temperatures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bathkin import _core
from bathkin.core import layout
from bathkin.core.answer import Drawn
from bathkin.core.result import made_from
from bathkin.core.units import slope_to_kelvin, to_number
from bathkin.errors import DataError
from bathkin.fit import results

if TYPE_CHECKING:
    from matplotlib.figure import Figure


class ArrheniusFit(Drawn, results.ArrheniusFit):
    """An Arrhenius law fitted to a table. Made by `fit_arrhenius`."""

    __slots__ = ("_of",)
    _of: tuple[NDArray[np.float64], NDArray[np.float64]]

    error_model = "relative: the same standard deviation of ln k in every row"

    @property
    def temperature_k(self) -> NDArray[np.float64]:
        """Temperatures of the data, K."""
        return self._of[0]

    @property
    def k(self) -> NDArray[np.float64]:
        """Rates or rate constants of the data, in their own unit."""
        return self._of[1]

    @property
    def estimates(self) -> list[results.Estimate]:
        """Activation energy, k and ln k at the reference temperature, ln A."""
        return [self.activation_energy_kj_mol, self.k_ref, self.ln_k_ref, self.ln_a]

    @property
    def correlation(self) -> dict[str, dict[str, float]]:
        """Correlation of ln A with the activation energy."""
        return {"ln_a": {self.activation_energy_kj_mol.path: self.correlation_ln_a_ea}}

    def at(self, temperature_k: float) -> ArrheniusFit:
        """The same fit stated at another reference temperature, K."""
        return _fitted(self.temperature_k, self.k, float(temperature_k))

    def summary(self) -> str:
        """Estimates with intervals, the curvature test and remarks, as a text."""
        rows = self.estimates
        low = [estimate.interval95[0] if estimate.interval95 else None for estimate in rows]
        high = [estimate.interval95[1] if estimate.interval95 else None for estimate in rows]
        table = layout.render(
            [
                layout.Column("", [estimate.path for estimate in rows], left=True),
                layout.Column("value", [layout.number(e.value) for e in rows]),
                layout.Column("standard error", [layout.number(e.standard_error, 2) for e in rows]),
                layout.Column("95 % from", [layout.number(value) for value in low]),
                layout.Column("to", [layout.number(value) for value in high]),
            ]
        )
        t, p = self.curvature_t, self.curvature_p
        curvature = "too few rows for the test"
        if t is not None and p is not None:
            chance = f"p = {layout.number(p, 2)}" if p >= 1e-4 else f"p = {p:.0e}"
            curvature = f"t = {t:.1f} of a quadratic term, {chance}"
        reference_c = to_number("temperature_c", f"{self.reference_temperature_k!r} K")
        lines = [
            table,
            "",
            f"k_ref is k at {self.reference_temperature_k:.2f} K ({reference_c:.2f} degC),"
            f" in the unit of the data",
            f"{len(self.k)} rows, {self.degrees_of_freedom} degrees of freedom;"
            f" errors taken as relative",
            f"curvature: {curvature}",
        ]
        return "\n".join([*lines, *([layout.remarks(self.remarks)] if self.remarks else [])])

    def _drawn(self) -> Figure:
        from bathkin.plots.arrhenius import draw_arrhenius

        return draw_arrhenius(self)

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        rows = [(estimate.path, layout.number(estimate.value)) for estimate in self.estimates]
        return layout.html_card("Arrhenius fit", rows)


def fit_arrhenius(
    temperature_k: ArrayLike | Sequence[float],
    k: ArrayLike | Sequence[float],
    reference_temperature_k: float | None = None,
) -> ArrheniusFit:
    """Fits ln k against 1/T by least squares.

    Args:
        temperature_k: Temperatures, K, shape (n,), n of two or more.
        k: Rates or rate constants above zero, in any one unit, shape (n,).
        reference_temperature_k: Temperature to state k at, K; the harmonic mean of the data by
            default, where k and the activation energy are uncorrelated.

    Raises:
        DataError: For a value that cannot be used, with row and column; for fewer than two
            temperatures; for unequal lengths.

    Example:
        >>> import bathkin as bk
        >>> fit = bk.fit_arrhenius([313, 319, 323, 328, 333],
        ...                        [0.00043, 0.00103, 0.0018, 0.00355, 0.00717])
        >>> round(fit.activation_energy_kj_mol.value, 1)
        121.5
    """
    return _fitted(
        _column("temperature_k", temperature_k), _column("k", k), reference_temperature_k
    )


def _fitted(
    temperature_k: NDArray[np.float64],
    k: NDArray[np.float64],
    reference_temperature_k: float | None,
) -> ArrheniusFit:
    found = _core.fit_arrhenius(temperature_k, k, reference_temperature_k)
    return made_from(found, (temperature_k, k))


def _column(name: str, values: ArrayLike | Sequence[float]) -> NDArray[np.float64]:
    try:
        column = np.ascontiguousarray(values, dtype=np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise DataError(f"{name}: expected numbers", column=name) from error
    if np.ndim(values) != 1:
        shape = np.shape(values)
        raise DataError(f"{name} has shape {shape}: expected one column", column=name)
    return column


def activation_energy_kj_mol(slope_k: float | str) -> float:
    """Activation energy from the slope of ln k against 1/T.

    Args:
        slope_k: Slope, K, or a text with its unit ("-8.27 kK"); negative for a rate that rises
            with temperature.

    Returns:
        Activation energy, kJ/mol.

    Raises:
        DataError: For a slope in another unit: the exponent slope/T has no dimension.

    Example:
        >>> import bathkin as bk
        >>> round(bk.activation_energy_kj_mol(-8270), 2)
        68.76
    """
    return _core.activation_energy_kj_mol(slope_to_kelvin("slope_k", slope_k))
