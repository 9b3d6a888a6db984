"""The bath of the bench as plain arrays, for the peers that live its life without bathkin.

Its parts, and the formulas that peers share: the water in a litre and what the surface does. They
are written here a second time, so that agreement with bathkin means something. `bath_reader.py`
fills the arrays.

Amounts are per litre of bath and times in hours. The functions use nothing but arrays: NumPy runs
them as they stand, numba compiles them.
"""

import math
from typing import NamedTuple

import numpy as np
from numba.extending import register_jitable

REFERENCE_TEMPERATURE_C = 25.0
SECONDS_PER_HOUR = 3600.0
LN_10 = math.log(10.0)
# Density of water at 25 degC, Kell (1975), kg/L.
WATER_KG_L = 0.9970448954179155
# A total of zero has no logarithm, mol/L.
TRACE_MOL_L = 1e-14
# Metal, reductant and pH corrector among the replenishers.
METAL, REDUCTANT, PH = range(3)


class Solution(NamedTuple):
    """Mass action among the components and the proton; unknowns ln c, ln c_H and I.

    Free components and the proton count as substances that form from themselves with K = 1.
    """

    active: np.ndarray  # components that form species, positions among the totals
    forms: np.ndarray  # substances x (active components, proton)
    charge: np.ndarray  # of the substances
    square_change: np.ndarray  # sum nu z^2 - z^2: how activities shift ln K
    inert_charge: np.ndarray  # charge of the components that form nothing, else 0
    ln_k: np.ndarray  # at the bath temperature
    ln_k_cooled: np.ndarray  # of a sample at 25 degC
    slope_a: float  # Debye-Hückel slope of log10 gamma
    slope_a_cooled: float
    held_above: float  # ionic strength above which Davies is held, mol/kg
    total_charge: np.ndarray  # charges of the components
    form_squares: np.ndarray  # squared charges of the forms that the volumes are stated for
    volume_a: np.ndarray  # apparent volumes a + b sqrt(I), cm³/mol
    volume_b: np.ndarray
    hydroxide_a: float
    hydroxide_b: float


class Surface(NamedTuple):
    """Rates of the half-reactions and what they do; the one that closes the electrons is last.

    ln of every law is linear in 1, pH, ln totals and totals at a given temperature.
    """

    ln_reference: np.ndarray
    per_ph: np.ndarray
    per_ln_total: np.ndarray
    per_total: np.ndarray
    electrons: np.ndarray  # of all but the last, over those of the last
    makes: np.ndarray  # (totals, deposited atoms, evolved atoms) x half-reactions
    grams: np.ndarray  # of deposit per mole of half-reaction
    metal_grams: np.ndarray
    area_m2_l: float  # in the tank
    thickness_um: float
    drag_out_l_m2: float


class Bath(NamedTuple):
    """The tank, what is fed to it and when."""

    components: list[str]
    species: dict[
        str, dict
    ]  # those of the solution, after components and proton, as their files have them
    temperature_c: float
    solution: Solution
    surface: Surface
    make_up: np.ndarray  # totals before the pH is set
    replenishers: np.ndarray  # (metal, reductant, pH) x totals, mol per litre
    deposited_g_mol: np.ndarray
    metal: int
    reductant: int
    metal_element: int
    ph: float
    dead_band: float
    metal_fraction: float  # at which metal is added
    correct_with_metal: bool
    corrector_g_l: float
    volume_l: float
    turnovers: float  # that end the life


@register_jitable
def water_kg_l(total_charge, form_squares, volume_a, volume_b, hydroxide_a, hydroxide_b, totals):
    """Water in a litre: what the apparent volumes of the solutes leave room for."""
    base = max(total_charge @ totals, 0.0)
    squares = form_squares @ totals + base
    a = volume_a @ totals + base * hydroxide_a
    b = volume_b @ totals + base * hydroxide_b
    water = WATER_KG_L
    for _ in range(20):
        fuller = WATER_KG_L * (1.0 - (a + b * math.sqrt(0.5 * squares / water)) * 1e-3)
        if abs(fuller - water) < 1e-15:
            break
        water = fuller
    return water


@register_jitable
def half_reaction_rates(surface, totals, ph):
    """Rates of the half-reactions, mol/(m² s): law, selectivities, electron balance."""
    ln = surface.ln_reference + surface.per_ph * ph
    # A total of zero takes part with exponent zero, or stops the rate.
    ln += surface.per_ln_total @ np.log(np.maximum(totals, 1e-300))
    ln += surface.per_total @ totals
    rates = np.empty(ln.size + 1)
    rates[0] = math.exp(ln[0])
    rates[1:-1] = rates[0] * np.exp(ln[1:])
    rates[-1] = -(surface.electrons @ rates[:-1])
    return rates


@register_jitable
def growth(surface, rates):
    """Growth of the deposit, um/h, and its alloying element, wt%."""
    mass, metal = surface.grams @ rates, surface.metal_grams @ rates
    alloy_wt_pct = 100.0 * (mass - metal) / mass
    # The density scale "area-table", g/cm³; 1 um on 1 m² is 1 cm³.
    density = 8.9 - 0.1 * alloy_wt_pct
    return mass / density * SECONDS_PER_HOUR, alloy_wt_pct


@register_jitable
def rates_of_change(surface, totals, ph):
    """Of totals, deposited and evolved atoms (mol/L) and area plated (m²/L), per hour."""
    rates = half_reaction_rates(surface, totals, ph)
    growth_um_h, _ = growth(surface, rates)
    change = np.empty(surface.makes.shape[0] + 1)
    change[:-1] = surface.makes @ rates * (surface.area_m2_l * SECONDS_PER_HOUR)
    change[-1] = surface.area_m2_l * growth_um_h / surface.thickness_um
    change[: totals.size] -= surface.drag_out_l_m2 * change[-1] * totals
    return change
