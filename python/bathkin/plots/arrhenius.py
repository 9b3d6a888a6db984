"""The picture of an Arrhenius fit: rate constants against 1000/T."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import numpy as np
from matplotlib.figure import Figure

from bathkin.plots.picture import BLUE, INK, Picture, plain_axes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from bathkin.fit.results import Estimate


class Rates(Protocol):
    """What is drawn of an Arrhenius fit; see `bathkin.ArrheniusFit`."""

    @property
    def temperature_k(self) -> NDArray[np.float64]:
        """Temperature of each row, K."""

    @property
    def k(self) -> NDArray[np.float64]:
        """Rate constant of each row."""

    @property
    def activation_energy_kj_mol(self) -> Estimate:
        """Activation energy, kJ/mol."""

    @property
    def k_ref(self) -> Estimate:
        """Rate constant at the reference temperature."""

    def at(self, temperature_k: float) -> Rates:
        """The fit restated at another reference temperature."""


def draw_arrhenius(fit: Rates) -> Figure:
    """Data and fitted line with its 95 % band; see `ArrheniusFit.plot`."""
    kelvin = fit.temperature_k
    figure = Picture(figsize=(6.4, 4.2), layout="constrained")
    axes = figure.add_subplot()
    plain_axes(axes)
    # The fit restated at each temperature gives the line and its band there.
    along = np.linspace(float(kelvin.min()), float(kelvin.max()), 40)
    stated = [fit.at(temperature) for temperature in along]
    axes.plot(
        1e3 / along, [at.k_ref.value for at in stated], color=BLUE, linewidth=1.6, label="fit"
    )
    bands = [at.k_ref.interval95 for at in stated]
    if all(bands):
        low, high = np.array(bands).T
        axes.fill_between(1e3 / along, low, high, color=BLUE, alpha=0.15, lw=0, label="95 %")
    axes.plot(1e3 / kelvin, fit.k, "o", color=INK, markersize=5, label="data")
    axes.set_yscale("log")
    for axis_ticks in (axes.yaxis.set_major_formatter, axes.yaxis.set_minor_formatter):
        axis_ticks("{x:g}")
    axes.tick_params(axis="y", which="minor", labelsize=8, colors=INK)
    axes.set_xlabel("1000 / T, 1/K")
    axes.set_ylabel("k, unit of the data")
    energy = fit.activation_energy_kj_mol
    error = f" ± {energy.standard_error:.2g}" if energy.standard_error is not None else ""
    axes.set_title(f"activation energy {energy.value:.4g}{error} kJ/mol", loc="left", fontsize=10)
    axes.legend(frameon=False, fontsize=9)
    return figure
