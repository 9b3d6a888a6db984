"""How a component is shared among its species over pH."""

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

# A species that stays below this share everywhere is left out of pictures and printed tables.
TRACE_SHARE = 0.01


class Distribution(Curve):
    """Shares of a component in its species over pH, the pH held by strong acid or base.

    Made by `Bath.distribution`. Pickles as its bath and question and is computed again when loaded.
    Nothing is taken out of the liquid: past saturation (`onsets`) it is the supersaturated one.

    Example:
        >>> import bathkin as bk
        >>> over_ph = bk.load_recipe("nickel-acid").make_up().distribution(ph=[3, 4.8, 6])
        >>> acid, bath, neutral = over_ph.fractions["nickel"]
        >>> bool(acid > 2 * bath > 2 * neutral)
        True
    """

    def __init__(
        self,
        bath: Bath,
        component: str,
        ph: NDArray[np.float64],
        temperature_c: float | None,
    ) -> None:
        super().__init__(bath, (component, ph, temperature_c))
        self._shares, onsets = _core.distribution(bath._core, component, ph, temperature_c)
        profile, points = self._shares.profile, ph.copy()
        points.flags.writeable = False
        columns = {
            "ph": points,
            **self._shares.fractions,
            "free_metal_mol_l": self._shares.free_metal_mol_l,
            "base_mol_l": self._shares.base_mol_l,
            "ionic_strength_mol_l": profile.ionic_strength_mol_l,
            "buffer_capacity_mol_l": profile.buffer_capacity_mol_l,
        }
        self._take(self._shares, columns, profile, onsets)

    @property
    def component(self) -> str:
        """The component."""
        return self._shares.component

    @property
    def total_mol_l(self) -> float:
        """Its total, mol/L."""
        return self._shares.total_mol_l

    @property
    def fractions(self) -> dict[str, NDArray[np.float64]]:
        """Share in each species by name, read-only: the free component first."""
        return dict(self._shares.fractions)

    @property
    def base_mol_l(self) -> NDArray[np.float64]:
        """Strong base that holds each pH beside what the bath has (negative: acid), mol/L."""
        return self._shares.base_mol_l

    def notable(self) -> list[str]:
        """Species that hold 1 % of the component somewhere."""
        return [name for name, share in self.fractions.items() if share.max() >= TRACE_SHARE]

    def _drawn(self) -> Figure:
        from bathkin.plots.over_ph import draw_distribution

        return draw_distribution(self)

    def _title(self) -> str:
        return f"{self.component} of {self.recipe.name} over pH"

    def _shown(self) -> list[tuple[str, str]]:
        rows = [("ph", span(self.ph)), ("temperature_c", layout.number(self.temperature_c))]
        for name in self.notable():
            share = self.fractions[name]
            at = layout.number(float(self.ph[share.argmax()]), 3)
            rows.append((name, f"{share.min():.1%} to {share.max():.1%}, most at pH {at}"))
        return rows
