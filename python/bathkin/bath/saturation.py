"""Solids and couples of a bath: is one about to precipitate, and what that calibrates."""

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

    def precipitation_ph(self, solid: str) -> float | None:
        """pH at the onset of precipitation, at the bath temperature; None if a solid has none.

        There the solid is just saturated; people call it the cloud point.
        The pH is raised with caustic; lowered with acid when the bath is oversaturated already.

        Args:
            solid: Name of a solid, as in `saturation_index`.

        Raises:
            UnknownNameError: For a solid this bath cannot form.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> 6 < bath.precipitation_ph("nickel_hydroxide") < 8
            True
        """
        return self._core.precipitation_ph(word("solid", solid))

    def log_k_from_precipitation_ph(self, solid: str, ph: float) -> float:
        """The `solids.<solid>.log_k_25c` with which a solid precipitates from a pH on.

        One reading of the pH at which a bath turns cloudy calibrates a solubility product.

        Args:
            solid: Name of a solid, as in `saturation_index`.
            ph: The pH seen, 0 to 14, at the bath temperature.

        Raises:
            RecipeError: For an impossible pH, or a solid of what the bath does not hold.
            UnknownNameError: For a solid this bath cannot form.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> log_k = recipe.make_up().log_k_from_precipitation_ph("nickel_hydroxide", 7.0)
            >>> calibrated = recipe.set("solids.nickel_hydroxide.log_k_25c", log_k)
            >>> round(calibrated.make_up().precipitation_ph("nickel_hydroxide"), 6)
            7.0
        """
        return self._core.log_k_from_precipitation_ph(solid, ph)

    def couples(self) -> dict[str, Couple]:
        """Potentials of couples with pure solids by name; empty for a bath without copper.

        Example:
            >>> import bathkin as bk
            >>> bk.load_recipe("nickel-acid").make_up().couples()
            {}
        """
        return {couple.name: couple for couple in self._core.couples()}
