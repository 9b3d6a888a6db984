"""Pictures over pH: shares of species, titration curves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

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
    from bathkin.bath.results import Onset
    from bathkin.core.flags import Flag
    from bathkin.recipe.document import RecipeDocument

# Told apart also by those who see no red or no green; the free component is drawn in ink.
_COLOURS = (
    "#1f5a96",
    "#c2571a",
    "#3b7d4f",
    "#8e4a9e",
    "#b08a00",
    "#2a8fa8",
    "#a8324a",
    "#6b6b6b",
    "#5a6e1f",
)

_FEW = 25


class OverPh(Protocol):
    """What pictures of shares and of titrations have in common; see `bathkin.Distribution`."""

    @property
    def recipe(self) -> RecipeDocument:
        """The recipe of the bath."""

    @property
    def temperature_c(self) -> float:
        """Temperature, degC."""

    @property
    def bath_ph(self) -> float:
        """pH of the bath itself."""

    @property
    def ph(self) -> NDArray[np.float64]:
        """pH at each point."""

    @property
    def onsets(self) -> list[Onset]:
        """Where the liquid becomes oversaturated."""

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""


class Shares(OverPh, Protocol):
    """What is drawn of a distribution."""

    @property
    def component(self) -> str:
        """The component."""

    @property
    def total_mol_l(self) -> float:
        """Its total, mol/L."""

    @property
    def fractions(self) -> dict[str, NDArray[np.float64]]:
        """Share in each species."""

    def notable(self) -> list[str]:
        """Species worth a curve."""


class Titrated(OverPh, Protocol):
    """What is drawn of a titration."""

    @property
    def reagent(self) -> str:
        """The reagent."""

    @property
    def amount_g_l(self) -> NDArray[np.float64]:
        """Reagent added at each point, g/L."""

    @property
    def buffer_capacity_mol_l(self) -> NDArray[np.float64]:
        """Strong base per unit of pH, mol/L."""


def draw_distribution(over_ph: Shares) -> Figure:
    """Shares of a component against pH; see `Distribution.plot`."""
    figure = Picture(figsize=(7.4, 4.6), layout="constrained")
    axes = figure.add_subplot()
    plain_axes(axes)
    names = over_ph.notable()
    free = over_ph.component
    colours = {free: INK}
    bound = [name for name in names if name != free]
    colours |= {name: _COLOURS[at % len(_COLOURS)] for at, name in enumerate(bound)}
    marker = _marker(over_ph)
    curves = []
    for name in names:
        share = 100.0 * over_ph.fractions[name]
        width = 2.2 if name == free else 1.6
        axes.plot(
            over_ph.ph, share, color=colours[name], linewidth=width, marker=marker, markersize=3.5
        )
        curves.append(Labelled(share, _label(name, over_ph), colours[name]))
    top = max(float(curve.y.max()) for curve in curves)
    axes.set_ylim(0.0, min(1.1 * top + 2.0, 104.0))
    low, high = float(over_ph.ph.min()), float(over_ph.ph.max())
    if low < high:
        axes.set_xlim(low, high)
    axes.set_ylabel(f"share of the {layout.spoken(over_ph.component)}, %")
    axes.set_xlabel(f"pH at {_celsius(over_ph)}")
    total = over_ph.total_mol_l
    held = f"{layout.number(total, 3)} mol/L" if total > 0.0 else "as traces of it would be shared"
    headline(figure, f"{over_ph.recipe.name}: {layout.spoken(over_ph.component)} over pH, {held}")
    _notes(figure, over_ph, ["species below 1 % everywhere are not drawn"])
    own = ReferenceLine(over_ph.bath_ph, f"the bath, pH {over_ph.bath_ph:.2f}", GREY, ":")
    lines = draw_reference_lines(axes, [own, *_saturated(over_ph, over_ph.ph)])
    name_curves(axes, over_ph.ph, curves, lines)
    return figure


def draw_titration(curve: Titrated) -> Figure:
    """The pH and the buffer capacity against the amount; see `Titration.plot`."""
    figure = Picture(figsize=(7.4, 5.8), layout="constrained")
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[1.5, 1.0])
    marker = _marker(curve)
    for axes, values, colour, label in (
        (upper, curve.ph, BLUE, f"pH at {_celsius(curve)}"),
        (lower, curve.buffer_capacity_mol_l, GREEN, "buffer capacity,\nmol/L of base per pH"),
    ):
        plain_axes(axes)
        axes.plot(
            curve.amount_g_l, values, color=colour, linewidth=1.8, marker=marker, markersize=4
        )
        axes.set_ylabel(label)
    lower.set_ylim(bottom=0.0)
    most = float(curve.amount_g_l.max())
    if most > 0.0:
        upper.set_xlim(-0.02 * most, 1.02 * most)
    upper.plot([0.0], [curve.bath_ph], "o", color=INK, markersize=6, clip_on=False, zorder=5)
    rising = curve.ph[-1] >= curve.bath_ph
    # Room for the words beside the first point.
    bottom, top = upper.get_ylim()
    room = 0.08 * (top - bottom)
    upper.set_ylim(bottom - room * rising, top + room * (not rising))
    upper.annotate(
        f"the bath, pH {curve.bath_ph:.2f}",
        (0.0, curve.bath_ph),
        xytext=(8, -4 if rising else 4),
        textcoords="offset points",
        fontsize=8.5,
        color=INK,
        va="top" if rising else "bottom",
    )
    lower.set_xlabel(f"{layout.spoken(curve.reagent)} added, g/L")
    headline(figure, f"{curve.recipe.name} titrated with {layout.spoken(curve.reagent)}")
    _notes(figure, curve, ["the pure reagent, nothing diluted"])
    # The words beside the first point lie below it while the pH rises.
    bottom, top = upper.get_ylim()
    start = (curve.bath_ph - bottom) / (top - bottom) if rising else 0.0
    draw_reference_lines(upper, _saturated(curve, curve.amount_g_l), below=[lower], start=start)
    return figure


def _label(name: str, over_ph: Shares) -> str:
    """A species in words; a complex is numbered only where there is a second one."""
    if name == over_ph.component:
        return f"free {layout.spoken(name)}"
    stem, _, number = name.rpartition("_")
    alone = number == "1" and f"{stem}_2" not in over_ph.fractions
    return layout.spoken(stem if alone else name)


def _marker(curve: OverPh) -> str | None:
    """Points are shown where they are so few that the lines between them are only lines."""
    return "o" if len(curve.ph) < _FEW else None


def _celsius(of: OverPh) -> str:
    return f"{layout.number(of.temperature_c, 3)} °C"


def _saturated(curve: OverPh, along: NDArray[np.float64]) -> list[ReferenceLine]:
    """Where the curve becomes saturated with each solid, along its abscissa."""
    places = np.arange(len(along))
    return [
        ReferenceLine(
            float(np.interp(onset.point, places, along)),
            f"{layout.spoken(onset.solid)}, pH {onset.ph:.2f}",
            RED,
            "--",
        )
        for onset in curve.onsets
    ]


def _notes(figure: Figure, of: OverPh, notes: list[str]) -> None:
    if of.onsets:
        dashed = "dashed: saturated with the solid, past it the liquid is drawn as supersaturated"
        notes = [*notes, dashed]
    if is_illustrative(of.flags):
        notes = [*notes, of.recipe.backing]
    small_print(figure, notes, width=125)
