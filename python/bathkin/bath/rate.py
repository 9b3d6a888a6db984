"""What a surface does in a bath."""

from __future__ import annotations

from bathkin import _core
from bathkin.bath import results
from bathkin.bath.alloy import Alloyed


class Rate(Alloyed, results.Rate):
    """What a surface does in a bath."""

    __slots__ = ()

    def potential_v(self, reference: str = "SHE") -> float | None:
        """Mixed potential against a reference electrode, V; None for a recipe of rate laws.

        Args:
            reference: SHE, SCE (saturated calomel) or AgAgCl (saturated KCl), kept at 25 degC.

        Raises:
            UnknownNameError: For another electrode.

        Example:
            >>> import bathkin as bk
            >>> rate = bk.load_recipe("nickel-mixed-potential").make_up().rate()
            >>> round(rate.potential_v("SCE"), 2)
            -0.64
        """
        of = 0.0 if self.potential_v_she is None else self.potential_v_she
        potential, _ = _core.against_reference(of, reference)
        return None if self.potential_v_she is None else potential
