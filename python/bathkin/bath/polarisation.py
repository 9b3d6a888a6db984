"""Partial currents of a bath's half-reactions against the potential."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin import _core
from bathkin.core import files, layout
from bathkin.core.arguments import word
from bathkin.core.flags import Flag, from_dicts
from bathkin.core.frames import frame

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.bath.bath import Bath
    from bathkin.recipe.recipe import Recipe


class Polarisation:
    """Partial currents over potentials, and the mixed potential where they cancel.

    Made by `Bath.polarisation`. Pickles as its bath and question and is computed again when loaded.
    Currents are positive where electrons are given to the surface (oxidation).

    Example:
        >>> import bathkin as bk
        >>> bath = bk.load_recipe("nickel-mixed-potential").make_up()
        >>> curves = bath.polarisation((-0.8, -0.5), "SCE")
        >>> abs(sum(curves.mixed_currents_ma_cm2.values())) < 1e-9
        True
        >>> list(curves.table().columns)[:2]
        ['potential_v_sce', 'metal_ma_cm2']
    """

    def __init__(self, bath: Bath, potential_v: NDArray[np.float64], reference: str) -> None:
        self._bath = bath
        self._currents, whole, about = _core.polarisation(
            bath._core, potential_v, word("reference", reference)
        )
        self._potential_v, self._total = whole["potential_v"], whole["total_ma_cm2"]
        self._about: dict[str, Any] = json.loads(about)
        for values in (*self._currents.values(), self._potential_v, self._total):
            values.flags.writeable = False

    @property
    def bath(self) -> Bath:
        """The bath they are of."""
        return self._bath

    @property
    def recipe(self) -> Recipe:
        """The recipe that made the bath."""
        return self._bath.recipe

    @property
    def reference(self) -> str:
        """Reference electrode that potentials are against."""
        return str(self._about["reference"])

    @property
    def reference_potential_v_she(self) -> float:
        """Potential of the reference electrode itself, V SHE."""
        return float(self._about["reference_potential_v_she"])

    @property
    def temperature_c(self) -> float:
        """Temperature, degC."""
        return float(self._about["temperature_c"])

    @property
    def potential_v(self) -> NDArray[np.float64]:
        """Potential at each point, V, read-only."""
        return self._potential_v

    @property
    def currents_ma_cm2(self) -> dict[str, NDArray[np.float64]]:
        """Partial current of each half-reaction by name, mA/cm2, read-only."""
        return dict(self._currents)

    @property
    def total_ma_cm2(self) -> NDArray[np.float64]:
        """Sum of the partial currents, mA/cm2, read-only: what a potentiostat would see."""
        return self._total

    @property
    def mixed_potential_v(self) -> float | None:
        """Where the partial currents cancel, V; None when nowhere in -3 to 3 V SHE."""
        found: float | None = self._about["mixed_potential_v"]
        return found

    @property
    def mixed_currents_ma_cm2(self) -> dict[str, float]:
        """Partial current of each half-reaction at the mixed potential, mA/cm2."""
        return dict(self._about["mixed_currents_ma_cm2"])

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        return from_dicts(self._about["flags"])

    @property
    def potential_column(self) -> str:
        """Name of the potential's column, with its reference electrode: `potential_v_sce`."""
        return f"potential_v_{self.reference.lower()}"

    def columns(self) -> dict[str, NDArray[np.float64]]:
        """Potential, partial currents and total by name."""
        currents = {f"{name}_ma_cm2": values for name, values in self._currents.items()}
        return {
            self.potential_column: self._potential_v,
            **currents,
            "total_ma_cm2": self._total,
        }

    def table(self) -> pd.DataFrame:
        """The columns as a table, a row per potential."""
        return frame(self.columns(), self.recipe)

    def to_csv(self, path: str | os.PathLike[str]) -> None:
        """Writes the table as CSV, with a decimal point and column names that carry the unit.

        Raises:
            OSError: When the file cannot be written.
        """
        files.write_table(path, self.table())

    def plot(self, path: str | os.PathLike[str] | None = None) -> Figure:
        """Partial curves and their sum, current on a logarithmic axis, the mixed point marked.

        Args:
            path: File to write the picture to as well; the ending names the format.

        Returns:
            A matplotlib figure, not tied to any window.

        Raises:
            RecipeError: For a picture format that is not known.
            OSError: When the file cannot be written.
        """
        from bathkin.plots.picture import saved
        from bathkin.plots.polarisation import draw_polarisation

        return saved(draw_polarisation(self, self._bath.ph), path)

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Polarisation)
            and self._bath == other._bath
            and self.reference == other.reference
            and np.array_equal(self._potential_v, other._potential_v)
        )

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Polarisation, (self._bath, self._potential_v, self.reference)

    def _title(self) -> str:
        return f"polarisation of {self.recipe.name}, V against {self.reference}"

    def _shown(self) -> list[tuple[str, str]]:
        mixed = self.mixed_potential_v
        rows = [("mixed_potential_v", "none" if mixed is None else f"{mixed:.4f}")]
        rows += [
            (f"{name}_ma_cm2", f"{layout.number(current)} there")
            for name, current in self.mixed_currents_ma_cm2.items()
        ]
        return rows

    def __repr__(self) -> str:
        return layout.card(self._title(), self._shown())

    def _repr_html_(self) -> str:
        return layout.html_card(self._title(), self._shown())
