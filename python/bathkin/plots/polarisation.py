"""The picture of a polarisation: log |i| against the potential."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
from matplotlib.figure import Figure

from bathkin.core import layout
from bathkin.core.flags import is_illustrative
from bathkin.plots.curve_labels import Labelled, name_curves
from bathkin.plots.picture import (
    BLUE,
    GREEN,
    GREY,
    INK,
    RED,
    Picture,
    headline,
    plain_axes,
    small_print,
)
from bathkin.plots.reference_lines import ReferenceLine, draw_reference_lines

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from bathkin.core.flags import Flag
    from bathkin.recipe.document import RecipeDocument

_COLOURS = (BLUE, "#c2571a", GREEN, RED, "#8e4a9e", "#b08a00", "#2a8fa8")
# Decades shown below the currents at the mixed potential, and above.
_BELOW, _ABOVE = 2.0, 1.5
_FEW = 25
_NAMES = {"SHE": "SHE", "SCE": "SCE (saturated calomel)", "AgAgCl": "Ag/AgCl, saturated KCl"}


class Curves(Protocol):
    """What is drawn of a polarisation; see `bathkin.Polarisation`."""

    @property
    def recipe(self) -> RecipeDocument:
        """The recipe of the bath."""

    @property
    def temperature_c(self) -> float:
        """Temperature, degC."""

    @property
    def reference(self) -> str:
        """Reference electrode."""

    @property
    def potential_v(self) -> NDArray[np.float64]:
        """Potential at each point, V."""

    @property
    def currents_ma_cm2(self) -> dict[str, NDArray[np.float64]]:
        """Partial current of each half-reaction, mA/cm2."""

    @property
    def total_ma_cm2(self) -> NDArray[np.float64]:
        """Their sum, mA/cm2."""

    @property
    def mixed_potential_v(self) -> float | None:
        """Where they cancel, V."""

    @property
    def mixed_currents_ma_cm2(self) -> dict[str, float]:
        """Partial currents there, mA/cm2."""

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""


def draw_polarisation(of: Curves, bath_ph: float) -> Figure:
    """Partial curves and their sum; see `Polarisation.plot`."""
    figure = Picture(figsize=(7.4, 4.8), layout="constrained")
    axes = figure.add_subplot()
    plain_axes(axes)
    potential, mixed = of.potential_v, of.mixed_potential_v
    low, high = _range(of)
    least, most = float(potential.min()), float(potential.max())
    if least < most:
        axes.set_xlim(least, most)
    axes.set_ylim(low, high)
    # Points are shown where they are so few that the lines between them are only lines.
    marker = "." if len(potential) < _FEW else None
    curves = []
    drawn = [*zip(of.currents_ma_cm2.items(), _COLOURS * 2, strict=False)]
    for (name, current), colour in drawn:
        # Solid where electrons are given, dashed where they are taken.
        for sign, style in ((1.0, "-"), (-1.0, "--")):
            look: dict[str, Any] = {
                "linewidth": 1.7,
                "linestyle": style,
                "marker": marker,
                "markersize": 3.5,
            }
            axes.plot(potential, _log(sign * current), color=colour, **look)
        curves.append(Labelled(_log(np.abs(current)), layout.spoken(name), colour))
    total = _log(np.abs(of.total_ma_cm2))
    axes.plot(potential, total, color=INK, linewidth=1.1, marker=marker, markersize=3.5, zorder=1.5)
    curves.append(Labelled(total, "total", INK))
    decades = np.arange(np.ceil(low), np.floor(high) + 1)
    axes.set_yticks(decades, [f"{10.0**decade:g}" for decade in decades])
    axes.set_ylabel("|current|, mA/cm²")
    axes.set_xlabel(f"potential against {_NAMES.get(of.reference, of.reference)}, V")
    headline(
        figure,
        f"{of.recipe.name}: partial currents at {layout.number(of.temperature_c, 3)} °C"
        f" and pH {bath_ph:.2f}",
    )
    notes = ["solid: electrons given, dashed: taken; the bath as it is, nothing used up"]
    if is_illustrative(of.flags):
        notes.append(of.recipe.backing)
    small_print(figure, notes, width=125)
    lines: list[float] = []
    if mixed is not None:
        words = f"mixed potential {mixed:.3f} V"
        lines = draw_reference_lines(axes, [ReferenceLine(mixed, words, GREY, ":")])
        for (name, _), colour in drawn:
            there = abs(of.mixed_currents_ma_cm2[name])
            if there > 0.0:
                axes.plot([mixed], [np.log10(there)], "o", color=colour, markersize=5, zorder=5)
    name_curves(axes, potential, [_within(curve, low) for curve in curves], lines)
    return figure


def _log(current: np.ndarray) -> np.ndarray:
    """log10 of what is positive; nothing elsewhere."""
    return np.log10(np.where(current > 0.0, current, np.nan))


def _within(curve: Labelled, low: float) -> Labelled:
    """A curve for its name: below the picture where there is nothing to draw."""
    return curve._replace(y=np.nan_to_num(curve.y, nan=low - 1.0))


def _range(of: Curves) -> tuple[float, float]:
    """Decades to draw: around the currents at the mixed potential, else all there are."""
    there = [abs(current) for current in of.mixed_currents_ma_cm2.values() if current != 0.0]
    if not there:
        there = [abs(float(current)) for current in of.total_ma_cm2 if current != 0.0] or [1.0]
    return float(np.log10(min(there))) - _BELOW, float(np.log10(max(there))) + _ABOVE
