"""A bath titrated with a reagent."""

from __future__ import annotations

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
    """pH and buffer capacity against what is added of a reagent.

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
        self._of_reagent, onsets = _core.titration(
            bath._core, reagent, to_ph, amounts_g_l, temperature_c
        )
        curve = self._of_reagent.curve
        columns = {
            "amount_g_l": self._of_reagent.amount_g_l,
            "amount_mol_l": curve.amount_mol_l,
            "ph": curve.profile.ph,
            "buffer_capacity_mol_l": curve.profile.buffer_capacity_mol_l,
            "free_metal_mol_l": self._of_reagent.free_metal_mol_l,
            "ionic_strength_mol_l": curve.profile.ionic_strength_mol_l,
        }
        self._take(self._of_reagent, columns, curve.profile, onsets)

    @property
    def reagent(self) -> str:
        """The reagent."""
        return self._of_reagent.reagent

    @property
    def amount_g_l(self) -> NDArray[np.float64]:
        """Reagent added at each point, g/L."""
        return self._of_reagent.amount_g_l

    @property
    def amount_mol_l(self) -> NDArray[np.float64]:
        """Reagent added at each point, mol/L."""
        return self._of_reagent.curve.amount_mol_l

    def __eq__(self, other: object) -> bool:
        return super().__eq__(other) and getattr(other, "reagent", None) == self.reagent

    __hash__ = None

    def _drawn(self) -> Figure:
        from bathkin.plots.over_ph import draw_titration

        return draw_titration(self)

    def _title(self) -> str:
        return f"{self.recipe.name} titrated with {layout.spoken(self.reagent)}"

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
