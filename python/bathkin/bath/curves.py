"""What results along a curve have in common: columns, a table, a picture, a file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.flags import Flag
from bathkin.core.frames import frame

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.bath.bath import Bath
    from bathkin.bath.results import BathDistribution, BathTitration, Onset, Profile
    from bathkin.recipe.recipe import Recipe


# Solids whose index stays below this everywhere are left out of printed tables.
NEAR_INDEX = -3.0

_INDEX = "saturation_index_"


class Curve(Tabled):
    """Columns over pH or an amount. Computed again when unpickled; equal when the question is."""

    def __init__(self, bath: Bath, question: tuple[Any, ...]) -> None:
        self._bath = bath
        self._question = question
        self._columns: dict[str, NDArray[np.float64]] = {}
        self._onsets: list[Onset] = []

    def _take(
        self,
        found: BathDistribution | BathTitration,
        columns: dict[str, NDArray[np.float64]],
        profile: Profile,
        onsets: list[Onset],
    ) -> None:
        self._found, self._profile, self._onsets = found, profile, onsets
        solids = profile.saturation_index.items()
        self._columns.update(columns)
        self._columns.update({f"{_INDEX}{solid}": values for solid, values in solids})

    @property
    def bath(self) -> Bath:
        """The bath it is of."""
        return self._bath

    @property
    def recipe(self) -> Recipe:
        """The recipe that made the bath."""
        return self._bath.recipe

    @property
    def temperature_c(self) -> float:
        """Temperature, degC."""
        return self._found.temperature_c

    @property
    def bath_ph(self) -> float:
        """pH of the bath itself at this temperature."""
        return self._found.bath_ph

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        return list(self._found.flags)

    @property
    def columns(self) -> dict[str, NDArray[np.float64]]:
        """Every column by name, read-only."""
        return dict(self._columns)

    @property
    def ph(self) -> NDArray[np.float64]:
        """pH at each point."""
        return self._columns["ph"]

    @property
    def free_metal_mol_l(self) -> NDArray[np.float64]:
        """Free metal at each point, mol/L."""
        return self._found.free_metal_mol_l

    @property
    def ionic_strength_mol_l(self) -> NDArray[np.float64]:
        """Ionic strength at each point, mol/L."""
        return self._profile.ionic_strength_mol_l

    @property
    def buffer_capacity_mol_l(self) -> NDArray[np.float64]:
        """Strong base per unit of pH at each point, mol/L."""
        return self._profile.buffer_capacity_mol_l

    @property
    def saturation_index(self) -> dict[str, NDArray[np.float64]]:
        """Saturation index log10(IAP/Ksp) at each point by solid, read-only."""
        return dict(self._profile.saturation_index)

    @property
    def onsets(self) -> list[Onset]:
        """Where the curve becomes oversaturated with a solid."""
        return list(self._onsets)

    def near_saturation(self) -> list[str]:
        """Solids that come within a thousandfold of saturation somewhere."""
        return [name for name, of in self.saturation_index.items() if of.max() > NEAR_INDEX]

    def table(self) -> pd.DataFrame:
        """The columns as a table, a row per point."""
        return frame(self._columns, self.recipe)

    def _title(self) -> str:
        raise NotImplementedError

    def _shown(self) -> list[tuple[str, str]]:
        raise NotImplementedError

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Curve) or type(other) is not type(self):
            return False
        mine, theirs = self._columns, other._columns
        return (
            self._bath == other._bath
            and list(mine) == list(theirs)
            and all(np.array_equal(mine[name], theirs[name]) for name in mine)
        )

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self._bath, *self._question)

    def __repr__(self) -> str:
        return layout.card(self._title(), self._shown())

    def _repr_html_(self) -> str:
        return layout.html_card(self._title(), self._shown())


def span(values: NDArray[np.float64], digits: int = 3) -> str:
    """First and last of a column, in words."""
    first, last = (layout.number(float(value), digits) for value in (values[0], values[-1]))
    return first if len(values) == 1 else f"{first} to {last} ({len(values)} points)"
