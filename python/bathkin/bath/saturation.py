"""Solids and couples of a bath: is it about to cloud, and what its clouding tells."""

from __future__ import annotations

from bathkin import _core
from bathkin.bath.results import Couple
from bathkin.core.arguments import word


class Saturation:
    """What a bath says about solids; part of `Bath`."""

    _core: _core.Bath

    def saturation_index(self) -> dict[str, float]:
        """Saturation index log10(IAP/Ksp) of every solid the bath can form, by name.

        Above zero the solid can fall out. A component that is not there counts as a trace, which
        shows as an index far below zero.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> max(bath.saturation_index().values()) < 0
            True
        """
        return dict(self._core.saturation_index())

    def cloud_ph(self, solid: str) -> float | None:
        """pH at which a solid is just saturated, at the bath temperature; None if none is.

        The pH is raised with caustic; lowered with acid when the bath is oversaturated already.

        Args:
            solid: Name of a solid, as in `saturation_index`.

        Raises:
            UnknownNameError: For a solid this bath cannot form.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> 6 < bath.cloud_ph("nickel_hydroxide") < 8
            True
        """
        return self._core.cloud_ph(word("solid", solid))

    def log_k_from_cloud_ph(self, solid: str, ph: float) -> float:
        """The `solids.<solid>.log_k_25c` that makes the bath cloud at a pH at its temperature.

        One reading of a clouding bath calibrates a solubility product.

        Args:
            solid: Name of a solid, as in `saturation_index`.
            ph: The pH seen, 0 to 14, at the bath temperature.

        Raises:
            RecipeError: For an impossible pH, or a solid of what the bath does not hold.
            UnknownNameError: For a solid this bath cannot form.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> log_k = recipe.make_up().log_k_from_cloud_ph("nickel_hydroxide", 7.0)
            >>> calibrated = recipe.set("solids.nickel_hydroxide.log_k_25c", log_k)
            >>> round(calibrated.make_up().cloud_ph("nickel_hydroxide"), 6)
            7.0
        """
        return self._core.log_k_from_cloud_ph(solid, ph)

    def couples(self) -> dict[str, Couple]:
        """Potentials of couples with pure solids by name; empty for a bath without copper.

        Example:
            >>> import bathkin as bk
            >>> bk.load_recipe("nickel-acid").make_up().couples()
            {}
        """
        return {couple.name: couple for couple in self._core.couples()}
