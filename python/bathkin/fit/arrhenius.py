"""An activation energy from rates at several temperatures."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bathkin import _core
from bathkin.core import layout
from bathkin.core.answer import Drawn
from bathkin.core.units import slope_to_kelvin, to_number
from bathkin.errors import DataError
from bathkin.fit.estimate import Estimate

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_ENERGY = "activation_energy_kj_mol"


class ArrheniusFit(Drawn):
    """An Arrhenius law fitted to a table. Made by `fit_arrhenius`.

    Attributes:
        temperature_k: Temperatures of the data, K.
        k: Rates or rate constants of the data, in their own unit.
    """

    error_model = "relative: the same standard deviation of ln k in every row"

    def __init__(
        self,
        temperature_k: NDArray[np.float64],
        k: NDArray[np.float64],
        reference_temperature_k: float | None,
    ) -> None:
        self.temperature_k = temperature_k
        self.k = k
        self._asked_reference_k = reference_temperature_k
        self._fit: dict[str, Any] = json.loads(
            _core.fit_arrhenius(temperature_k, k, reference_temperature_k)
        )

    @property
    def activation_energy_kj_mol(self) -> Estimate:
        """Activation energy, kJ/mol."""
        return Estimate(path=_ENERGY, **self._fit[_ENERGY])

    @property
    def ln_k_ref(self) -> Estimate:
        """Ln k at the reference temperature, k in the unit of the data."""
        return Estimate(path="ln_k_ref", **self._fit["ln_k_ref"])

    @property
    def ln_a(self) -> Estimate:
        """Ln A, the intercept at infinite temperature; correlated with the activation energy."""
        return Estimate(path="ln_a", **self._fit["ln_a"])

    @property
    def k_ref(self) -> Estimate:
        """Rate constant at the reference temperature, in the unit of the data."""
        return Estimate(path="k_ref", **self._fit["k_ref"])

    @property
    def reference_temperature_k(self) -> float:
        """Reference temperature, K."""
        return float(self._fit["reference_temperature_k"])

    @property
    def estimates(self) -> list[Estimate]:
        """Activation energy, k and ln k at the reference temperature, ln A."""
        return [self.activation_energy_kj_mol, self.k_ref, self.ln_k_ref, self.ln_a]

    @property
    def correlation(self) -> dict[str, dict[str, float]]:
        """Correlation of ln A with the activation energy."""
        return {"ln_a": {_ENERGY: float(self._fit["correlation_ln_a_ea"])}}

    @property
    def direct(self) -> dict[str, float | None] | None:
        """The same fit in k itself, for errors of one size in its unit.

        `activation_energy_kj_mol`, `standard_error`, `k_ref`, `ln_a`, and Akaike's criterion of
        absolute errors less that of relative ones; a remark tells where it matters. None where
        the search finds no minimum.
        """
        found: dict[str, float | None] | None = self._fit["direct"]
        return found

    @property
    def degrees_of_freedom(self) -> int:
        """Rows less parameters."""
        return int(self._fit["degrees_of_freedom"])

    @property
    def residual_sd_ln_k(self) -> float | None:
        """Standard deviation of the residuals of ln k, or None."""
        value: float | None = self._fit["residual_sd_ln_k"]
        return value

    @property
    def curvature_t(self) -> float | None:
        """T value of a quadratic term in 1/T without outlying rows; None with too few rows."""
        value: float | None = self._fit["curvature_t"]
        return value

    @property
    def curvature_p(self) -> float | None:
        """Its two-sided probability were the law a line; below 0.001 there is no Arrhenius line."""
        value: float | None = self._fit["curvature_p"]
        return value

    @property
    def outlying_rows(self) -> list[dict[str, float]]:
        """Rows off the line of the others: `row` from 1, `studentised_residual`, `p_value`.

        The residual is externally studentised, its probability times the number of rows
        (Bonferroni) below 0.01. Curvature is judged without these rows.
        """
        return [dict(row) for row in self._fit["outlying_rows"]]

    @property
    def messages(self) -> list[dict[str, str]]:
        """What to think of when using this: `code` and `text`."""
        return [dict(message) for message in self._fit["messages"]]

    def at(self, temperature_k: float) -> ArrheniusFit:
        """The same fit stated at another reference temperature, K."""
        return ArrheniusFit(self.temperature_k, self.k, float(temperature_k))

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
        curvature = "too few rows to tell"
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
        lines += [layout.wrapped(f"! {m['text']}", 0, 2) for m in self.messages]
        return "\n".join(lines)

    def _drawn(self) -> Figure:
        from bathkin.plots.arrhenius import draw_arrhenius

        return draw_arrhenius(self)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ArrheniusFit) and self._fit == other._fit

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return ArrheniusFit, (self.temperature_k, self.k, self._asked_reference_k)

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
    return ArrheniusFit(
        _column("temperature_k", temperature_k), _column("k", k), reference_temperature_k
    )


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
