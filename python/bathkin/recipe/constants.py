"""Formation constants: what a bath's equilibrium rests on, and what other sources say."""

from __future__ import annotations

from typing import Any

from bathkin.recipe import results


class SpeciesConstant(results.SpeciesConstant):
    """A species or solid of a bath with the constant in use."""

    __slots__ = ()

    @property
    def log_k_25c(self) -> float:
        """log10 K at 25 degC of the constant in use."""
        return self.constant.log_k_25c

    def to_dict(self) -> dict[str, Any]:
        """Plain values: those of the constant in use beside name and formula."""
        values = super().to_dict()
        others = values.pop("alternatives")
        in_use = values.pop("constant")
        return {**values, **in_use, "alternatives": others}
