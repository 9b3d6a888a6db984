"""What results along a curve have in common: columns, a table, a picture, a file."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin.core import files, layout
from bathkin.core.flags import Flag, from_dicts
from bathkin.core.frames import frame

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.bath.bath import Bath
    from bathkin.recipe.recipe import Recipe


# Solids whose index stays below this everywhere are left out of printed tables.
NEAR_INDEX = -3.0

_INDEX = "saturation_index_"


class Curve:
    """Columns over pH or an amount. Computed again when unpickled; equal when the question is."""

    def __init__(self, bath: Bath, question: tuple[Any, ...]) -> None:
        self._bath = bath
        self._question = question
        self._columns: dict[str, NDArray[np.float64]] = {}
        self._solids: list[str] = []
        self._about: dict[str, Any] = {}

    def _take(
        self,
        columns: dict[str, NDArray[np.float64]],
        saturation: dict[str, NDArray[np.float64]],
        about: dict[str, Any],
    ) -> None:
        self._solids = list(saturation)
        self._columns.update(columns)
        self._columns.update({f"{_INDEX}{solid}": of for solid, of in saturation.items()})
        for values in self._columns.values():
            values.flags.writeable = False
        self._about.update(about)

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
        return float(self._about["temperature_c"])

    @property
    def bath_ph(self) -> float:
        """PH of the bath itself at this temperature."""
        return float(self._about["bath_ph"])

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        return from_dicts(self._about["flags"])

    @property
    def columns(self) -> dict[str, NDArray[np.float64]]:
        """Every column by name, read-only."""
        return dict(self._columns)

    @property
    def ph(self) -> NDArray[np.float64]:
        """PH at each point."""
        return self._columns["ph"]

    @property
    def free_metal_mol_l(self) -> NDArray[np.float64]:
        """Free metal at each point, mol/L."""
        return self._columns["free_metal_mol_l"]

    @property
    def ionic_strength_mol_l(self) -> NDArray[np.float64]:
        """Ionic strength at each point, mol/L."""
        return self._columns["ionic_strength_mol_l"]

    @property
    def buffer_capacity_mol_l(self) -> NDArray[np.float64]:
        """Strong base per unit of pH at each point, mol/L."""
        return self._columns["buffer_capacity_mol_l"]

    @property
    def saturation_index(self) -> dict[str, NDArray[np.float64]]:
        """Saturation index log10(IAP/Ksp) at each point by solid, read-only."""
        return {solid: self._columns[f"{_INDEX}{solid}"] for solid in self._solids}

    @property
    def onsets(self) -> list[dict[str, Any]]:
        """Where the curve becomes oversaturated: `solid`, `title`, `ph`, `point`, `largest_index`.

        `point` is the place among the points: 2.5 lies midway between the third and the fourth.
        """
        return list(self._about["onsets"])

    def near_saturation(self) -> list[str]:
        """Solids that come within a thousandfold of saturation somewhere."""
        return [name for name, of in self.saturation_index.items() if of.max() > NEAR_INDEX]

    def table(self) -> pd.DataFrame:
        """The columns as a table, a row per point."""
        return frame(self._columns, self.recipe)

    def to_csv(self, path: str | os.PathLike[str]) -> None:
        """Writes the table as CSV, with a decimal point and column names that carry the unit.

        Raises:
            OSError: When the file cannot be written.
        """
        files.write_table(path, self.table())

    def plot(self, path: str | os.PathLike[str] | None = None) -> Figure:
        """A picture.

        Args:
            path: File to write the picture to as well; the ending names the format.

        Returns:
            A matplotlib figure, not tied to any window.

        Raises:
            RecipeError: For a picture format that is not known.
            OSError: When the file cannot be written.
        """
        from bathkin.plots.picture import saved

        return saved(self._drawn(), path)

    def _drawn(self) -> Figure:
        raise NotImplementedError

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
