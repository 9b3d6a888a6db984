"""Partial currents of a bath's half-reactions against the potential."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bathkin.bath import results
from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.frames import frame

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.bath.bath import Bath
    from bathkin.recipe.recipe import Recipe


class Polarisation(Tabled, results.Polarisation):
    """Partial currents over potentials, and the mixed potential where they cancel.

    Made by `Bath.polarisation`.
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

    __slots__ = ("_of",)
    _of: Bath

    @property
    def bath(self) -> Bath:
        """The bath they are of."""
        return self._of

    @property
    def recipe(self) -> Recipe:
        """The recipe that made the bath."""
        return self._of.recipe

    @property
    def potential_column(self) -> str:
        """Name of the potential's column, with its reference electrode: `potential_v_sce`."""
        return f"potential_v_{self.reference.lower()}"

    @property
    def columns(self) -> dict[str, NDArray[np.float64]]:
        """Potential, partial currents and total by name, read-only."""
        currents = self.currents_ma_cm2.items()
        return {
            self.potential_column: self.potential_v,
            **{f"{name}_ma_cm2": values for name, values in currents},
            "total_ma_cm2": self.total_ma_cm2,
        }

    def table(self) -> pd.DataFrame:
        """The columns as a table, a row per potential."""
        return frame(self.columns, self.recipe)

    def _drawn(self) -> Figure:
        from bathkin.plots.polarisation import draw_polarisation

        return draw_polarisation(self, self._of.ph)

    @property
    def _heading(self) -> str:
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
        return layout.card(self._heading, self._shown())

    def _repr_html_(self) -> str:
        return layout.html_card(self._heading, self._shown())
