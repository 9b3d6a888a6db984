"""A bath titrated with a reagent."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bathkin import _core
from bathkin.bath.curves import Curve, span
from bathkin.core import layout

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.bath.bath import Bath


class Titration(Curve):
    """PH and buffer capacity against what is added of a reagent.

    Made by `Bath.titration`. Pickles as its bath and question and is computed again when loaded.
    The reagent is taken as the pure substance, so nothing is diluted. Nothing is taken out of the
    liquid: past saturation (`onsets`) it is the supersaturated one.

    Example:
        >>> import bathkin as bk
        >>> bath = bk.load_recipe("nickel-acid").make_up()
        >>> curve = bath.titration("sodium_hydroxide", to_ph=[4.8, 5.2, 6])
        >>> bool(curve.amount_g_l[0] == 0 and (curve.amount_g_l[1:] > 0).all())
        True
    """

    def __init__(
        self,
        bath: Bath,
        reagent: str,
        to_ph: NDArray[np.float64] | None,
        amounts_g_l: NDArray[np.float64] | None,
        temperature_c: float | None,
    ) -> None:
        super().__init__(bath, (reagent, to_ph, amounts_g_l, temperature_c))
        self._reagent = reagent
        columns, saturation, about = _core.titration(
            bath._core, reagent, to_ph, amounts_g_l, temperature_c
        )
        self._take(columns, saturation, json.loads(about))

    @property
    def reagent(self) -> str:
        """The reagent."""
        return self._reagent

    @property
    def amount_g_l(self) -> NDArray[np.float64]:
        """Reagent added at each point, g/L."""
        return self._columns["amount_g_l"]

    @property
    def amount_mol_l(self) -> NDArray[np.float64]:
        """Reagent added at each point, mol/L."""
        return self._columns["amount_mol_l"]

    def __eq__(self, other: object) -> bool:
        return super().__eq__(other) and getattr(other, "reagent", None) == self._reagent

    __hash__ = None

    def _drawn(self) -> Figure:
        from bathkin.plots.over_ph import draw_titration

        return draw_titration(self)

    def _title(self) -> str:
        return f"{self.recipe.name} titrated with {layout.spoken(self._reagent)}"

    def _shown(self) -> list[tuple[str, str]]:
        least = int(self.buffer_capacity_mol_l.argmin())
        return [
            ("amount_g_l", span(self.amount_g_l)),
            ("ph", span(self.ph)),
            ("temperature_c", layout.number(self.temperature_c)),
            (
                "buffer_capacity_mol_l",
                f"least {layout.number(float(self.buffer_capacity_mol_l[least]), 3)}"
                f" at pH {self.ph[least]:.2f}",
            ),
        ]
