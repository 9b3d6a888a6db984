"""What a surface does in a bath."""

from __future__ import annotations

from typing import Any

from bathkin import _core
from bathkin.core.records import Record


class Rate(Record):
    """What a surface does in a bath.

    Attributes:
        deposition_um_h: Growth of the deposit, um/h.
        deposition_mg_cm2_h: Mass of the deposit, mg/(cm2 h).
        phosphorus_wt_pct: Alloying element, wt%; named after it, absent for a pure metal.
        hydrogen_l_m2_h: Hydrogen, L/(m2 h) at 25 degC and 1 atm.
        density_g_cm3: Density of the deposit, g/cm3.
        reductant_per_metal_mol: Reductant used by the surface per metal deposited, mol/mol.
        reductant_efficiency: Metal deposited per reductant used, mol/mol.
        by_product_per_metal_mol: By-product made per metal deposited, mol/mol.
        half_reactions_mol_m2_s: Rate of each half-reaction by name, mol/(m2 s).
        potential_v_she: Mixed potential of the surface, V SHE; None for a recipe of rate laws.
        partial_currents_ma_cm2: Partial current of each half-reaction by name, mA/cm2, positive
            when electrons are given; empty for a recipe of rate laws.
        bulk_reactions_mol_l_s: Rate of each reaction of the liquid by name, mol/(L s).
        temperature_c: Bath temperature, degC.
        ph: pH in the bath.
        free_metal_mol_l: Uncomplexed metal, mol/L.
        ionic_strength_mol_l: Ionic strength, mol/L.
        factors: Every factor of the law of deposition by name (`order.nickel`), one at the
            reference state of the law: why the rate is what it is.
        plate_out_pct: Metal that plates out beside the work, % of the wanted rate at the recipe's
            loading; None where the recipe has no `[decomposition]` or nothing plates.
        surface_ph: pH at the surface; that of the bath without a film.
        surface_metal_mol_l: Metal at the surface in all forms, mol/L; the bath's without a film.
        steady_states: Number of steady states the surface may take behind its film; one without.
    """

    _title = "Rate"

    deposition_um_h: float
    deposition_mg_cm2_h: float
    hydrogen_l_m2_h: float
    density_g_cm3: float
    reductant_per_metal_mol: float
    reductant_efficiency: float
    by_product_per_metal_mol: float
    half_reactions_mol_m2_s: dict[str, float]
    potential_v_she: float | None
    partial_currents_ma_cm2: dict[str, float]
    bulk_reactions_mol_l_s: dict[str, float]
    temperature_c: float
    ph: float
    free_metal_mol_l: float
    ionic_strength_mol_l: float
    factors: dict[str, float]
    plate_out_pct: float | None
    surface_ph: float
    surface_metal_mol_l: float
    steady_states: int

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


def rate_values(rate: dict[str, Any], alloy_column: str | None) -> dict[str, Any]:
    """The core's rate with the alloying element named, half-reactions and factors by name."""
    values = with_alloy(rate, alloy_column)
    tables = (
        "half_reactions_mol_m2_s",
        "bulk_reactions_mol_l_s",
        "partial_currents_ma_cm2",
        "factors",
    )
    for by_name in tables:
        values[by_name] = dict(values[by_name])
    return values


def with_alloy(values: dict[str, Any], alloy_column: str | None) -> dict[str, Any]:
    """Values with the alloying element named, or without it for a pure metal."""
    named = ((alloy_column if name == "alloy_wt_pct" else name, v) for name, v in values.items())
    return {name: v for name, v in named if name is not None}
