"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from bathkin.core.result import Result
from bathkin.core.results import Flag, Remark


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PhAdjustment(Result):
    """The acid or base that set a pH.

    Attributes:
        reagent: The reagent.
        mol_l: Amount, mol/L.
        g_l: Amount, g/L.
    """

    reagent: str
    mol_l: float
    g_l: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Rate(Result):
    """What a surface does in a bath.

    Attributes:
        deposition_um_h: Growth of the deposit, um/h.
        deposition_mg_cm2_h: Mass of the deposit, mg/(cm2 h).
        alloy_wt_pct: Alloying element, wt%.
        alloy_column: Name of the alloying element's column, `phosphorus_wt_pct`; none for a pure
            metal.
        hydrogen_l_m2_h: Hydrogen, L/(m2 h) at 25 degC and 1 atm.
        density_g_cm3: Density of the deposit, g/cm3.
        reductant_per_metal_mol: Reductant used by the surface per metal deposited, mol/mol.
        reductant_efficiency: Metal deposited per reductant used, mol/mol: the reductant
            efficiency.
        by_product_per_metal_mol: By-product made per metal deposited, mol/mol.
        bulk_reactions_mol_l_s: Rates of the reactions of the liquid, mol/(L s); they come on top
            of what the surface uses.
        half_reactions_mol_m2_s: Rates of the half-reactions, mol/(m2 s).
        potential_v_she: Mixed potential of the surface, V SHE; `None` with rate laws.
        partial_currents_ma_cm2: Partial current of each half-reaction, mA/cm2, positive when
            electrons are given; empty with rate laws.
        temperature_c: Bath temperature, degC.
        ph: pH in the bath.
        free_metal_mol_l: Free metal, mol/L.
        ionic_strength_mol_l: Ionic strength, mol/L.
        factors: Every factor of the law of deposition by name (`order.nickel`), one at its
            reference state.
        plate_out_pct: Metal that plates out elsewhere, % of the wanted rate at the recipe's
            loading; none where the recipe has no such law or nothing plates on the work.
        surface_ph: pH at the surface: that of the bath without a film.
        surface_metal_mol_l: Metal at the surface in all forms, mol/L: that of the bath without a
            film.
        steady_states: Number of steady states the surface may take: one without a film.
    """

    deposition_um_h: float
    deposition_mg_cm2_h: float
    alloy_wt_pct: float
    alloy_column: str | None
    hydrogen_l_m2_h: float
    density_g_cm3: float
    reductant_per_metal_mol: float
    reductant_efficiency: float
    by_product_per_metal_mol: float
    bulk_reactions_mol_l_s: dict[str, float]
    half_reactions_mol_m2_s: dict[str, float]
    potential_v_she: float | None
    partial_currents_ma_cm2: dict[str, float]
    temperature_c: float
    ph: float
    free_metal_mol_l: float
    ionic_strength_mol_l: float
    factors: dict[str, float]
    plate_out_pct: float | None
    surface_ph: float
    surface_metal_mol_l: float
    steady_states: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Plate(Result):
    """A load plated from a bath, and its course in time.

    Attributes:
        minutes: Time in the tank, min.
        area_dm2: Area, dm2.
        induction_s: Time lost to the start, s: where the late straight line of thickness meets
            zero at the rate of the fresh bath.
        induction_min: The same, min.
        coverage_end: Part of the surface that plates at the end.
        thickness_um: Mean thickness, um.
        mass_g: Mass of the deposit, g.
        metal_g: Metal in it, g.
        alloy_wt_pct: Alloying element, wt%.
        alloy_column: Name of the alloying element's column, `phosphorus_wt_pct`; none for a pure
            metal.
        density_g_cm3: Density of the deposit, g/cm3.
        deposition_start_um_h: Rate at the start on covered surface, um/h.
        deposition_end_um_h: Rate at the end on covered surface, um/h.
        metal_end_g_l: Metal left in the bath, g/L.
        reductant_end_mol_l: Reductant left, mol/L.
        by_product_end_mol_l: By-product made, mol/L.
        ph_end: pH at the end, in the bath.
        used_up_after_min: When metal or reductant ran out, min; plating ended there.
        substrate: The substrate.
        activation: What was done to it. One of `none`, `contact`, `nickel_strike`,
            `copper_strike`, `palladium`.
        flags: Warnings.
        columns: The load against time.
    """

    minutes: float
    area_dm2: float
    induction_s: float
    induction_min: float
    coverage_end: float
    thickness_um: float
    mass_g: float
    metal_g: float
    alloy_wt_pct: float
    alloy_column: str | None
    density_g_cm3: float
    deposition_start_um_h: float
    deposition_end_um_h: float
    metal_end_g_l: float
    reductant_end_mol_l: float
    by_product_end_mol_l: float
    ph_end: float
    used_up_after_min: float | None
    substrate: str
    activation: str
    flags: list[Flag]
    columns: LoadCurve


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class LoadCurve(Result):
    """Columns of a load against time, a point per row.

    Attributes:
        minutes: Time in the tank, min.
        thickness_um: Mean thickness, um.
        coverage: Part of the surface that is catalytic.
        deposition_um_h: Growth of the mean thickness, um/h.
        metal_g_l: Metal in the bath, g/L.
    """

    _ARRAYS: ClassVar = frozenset(
        {
            "minutes",
            "thickness_um",
            "coverage",
            "deposition_um_h",
            "metal_g_l",
        }
    )

    minutes: NDArray[np.float64]
    thickness_um: NDArray[np.float64]
    coverage: NDArray[np.float64]
    deposition_um_h: NDArray[np.float64]
    metal_g_l: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Couple(Result):
    """The potential of a couple in a bath.

    Attributes:
        name: Name of the couple.
        reaction: The reaction, as a reduction.
        potential_v_she: Potential against the standard hydrogen electrode, V.
    """

    name: str
    reaction: str
    potential_v_she: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class HeldSolution(Result):
    """A bath whose pH is held by a strong acid or base of ideal ions.

    Attributes:
        ph: The pH.
        ph_scale: What the pH is: which activity, at which temperature.
        temperature_c: Temperature, degC.
        base_mol_l: Strong base that holds the pH beside what the bath has (negative: strong acid),
            mol/L.
        ionic_strength_mol_l: Ionic strength, mol/L.
        free_metal_mol_l: Free metal, mol/L.
        species: Every dissolved substance, mol/L.
    """

    ph: float
    ph_scale: str
    temperature_c: float
    base_mol_l: float
    ionic_strength_mol_l: float
    free_metal_mol_l: float
    species: dict[str, float]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Onset(Result):
    """Where along a curve a solution becomes saturated with a solid.

    Attributes:
        solid: Name of the solid.
        title: Its name for people.
        ph: pH there: between two points where the straight line between their indices passes zero.
        point: The place among the points: 2.5 lies midway between the third and the fourth.
        largest_index: Largest saturation index along the curve.
    """

    solid: str
    title: str
    ph: float
    point: float
    largest_index: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class BathDistribution(Result):
    """How a component of a bath is shared among its species over pH.

    Attributes:
        component: The component.
        total_mol_l: Its total, mol/L.
        fractions: Share in each species that holds it, a column each: the free component first.
        base_mol_l: Strong base that holds each pH beside what the bath has (negative: strong
            acid), mol/L.
        free_metal_mol_l: Free metal, mol/L.
        profile: pH, ionic strength, buffer capacity and every species at each point.
        bath_ph: The bath's own pH at the temperature.
        temperature_c: Temperature, degC.
        flags: Warnings.
    """

    _ARRAYS: ClassVar = frozenset({"fractions", "base_mol_l", "free_metal_mol_l"})

    component: str
    total_mol_l: float
    fractions: dict[str, NDArray[np.float64]]
    base_mol_l: NDArray[np.float64]
    free_metal_mol_l: NDArray[np.float64]
    profile: Profile
    bath_ph: float
    temperature_c: float
    flags: list[Flag]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Profile(Result):
    """Columns along a curve of solutions, one value per point.

    Attributes:
        ph: pH.
        ionic_strength_mol_l: Ionic strength, mol/L.
        buffer_capacity_mol_l: Strong base per unit of pH, mol/L.
        saturation_index: Saturation index of every solid that is watched, log10(IAP/Ksp). Nothing
            is taken out of the liquid: past an index of zero the curve is that of the
            supersaturated solution.
    """

    _ARRAYS: ClassVar = frozenset(
        {
            "ph",
            "ionic_strength_mol_l",
            "buffer_capacity_mol_l",
            "saturation_index",
        }
    )

    ph: NDArray[np.float64]
    ionic_strength_mol_l: NDArray[np.float64]
    buffer_capacity_mol_l: NDArray[np.float64]
    saturation_index: dict[str, NDArray[np.float64]]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class BathTitration(Result):
    """A bath titrated with a reagent.

    Attributes:
        reagent: The reagent.
        amount_g_l: Reagent added at each point, g/L.
        free_metal_mol_l: Free metal, mol/L.
        curve: Amounts in mol/L, pH, ionic strength, buffer capacity, species; targets not reached.
        bath_ph: The bath's own pH at the temperature, before anything is added.
        temperature_c: Temperature, degC.
        flags: Warnings.
    """

    _ARRAYS: ClassVar = frozenset({"amount_g_l", "free_metal_mol_l"})

    reagent: str
    amount_g_l: NDArray[np.float64]
    free_metal_mol_l: NDArray[np.float64]
    curve: TitrationCurve
    bath_ph: float
    temperature_c: float
    flags: list[Flag]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class TitrationCurve(Result):
    """A titration curve.

    Attributes:
        amount_mol_l: Reagent added at each point, mol/L.
        profile: pH, ionic strength, buffer capacity and species at each point.
        already_past: Targets the solution was past before anything was added; they have no point.
        out_of_reach: Targets that no amount reaches; they have no point.
    """

    _ARRAYS: ClassVar = frozenset({"amount_mol_l", "already_past", "out_of_reach"})

    amount_mol_l: NDArray[np.float64]
    profile: Profile
    already_past: NDArray[np.float64]
    out_of_reach: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class FormationCurve(Result):
    """A formation curve, one value per point.

    Attributes:
        pl: pL = -log10 of the free ligand, mol/L.
        mean_ligand_number: Ligands bound per metal.
        ligand_mol_l: Total of the ligand that leaves so much of it free, mol/L.
        free_metal_mol_l: Free metal, mol/L.
    """

    _ARRAYS: ClassVar = frozenset({"pl", "mean_ligand_number", "ligand_mol_l", "free_metal_mol_l"})

    pl: NDArray[np.float64]
    mean_ligand_number: NDArray[np.float64]
    ligand_mol_l: NDArray[np.float64]
    free_metal_mol_l: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Polarisation(Result):
    """Currents of a surface against its potential.

    Attributes:
        reference: What potentials are against. One of `SHE`, `SCE`, `AgAgCl`.
        reference_potential_v_she: Its own potential, V SHE.
        potential_v: Potentials, V.
        currents_ma_cm2: Partial current of each half-reaction at each potential, mA/cm2.
        total_ma_cm2: Their sum, mA/cm2.
        mixed_potential_v: The mixed potential, V, where there is one.
        mixed_currents_ma_cm2: Partial currents there, mA/cm2; empty where there is none.
        temperature_c: Temperature, degC.
        ph: pH in the bath.
        flags: Warnings.
    """

    _ARRAYS: ClassVar = frozenset({"potential_v", "currents_ma_cm2", "total_ma_cm2"})

    reference: str
    reference_potential_v_she: float
    potential_v: NDArray[np.float64]
    currents_ma_cm2: dict[str, NDArray[np.float64]]
    total_ma_cm2: NDArray[np.float64]
    mixed_potential_v: float | None
    mixed_currents_ma_cm2: dict[str, float]
    temperature_c: float
    ph: float
    flags: list[Flag]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SweepPoint(Result):
    """One point of a sweep.

    Attributes:
        settings: The varied paths and their values.
        rate: The rate there; `None` where it could not be computed.
        failure: Why there is no rate, such as a pH that its reagent does not reach.
        flags: Warnings there, and which of the varied numbers change nothing anywhere.
        reason: What changed the rate most since the first point with one, in words: factors of its
            law, or partial currents.
        alloy_reason: The same for the alloying element per metal; `None` for a pure metal too.
        free_metal_reason: What holds the metal now in place of the first point's, in words.
    """

    settings: dict[str, float]
    rate: Rate | None
    failure: Remark | None
    flags: list[Flag]
    reason: str | None
    alloy_reason: str | None
    free_metal_reason: str | None
