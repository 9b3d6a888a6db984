"""The pH by specific ion interaction (SIT), compiled: the peer of the activity model that the
built-in baths have.

log10 g_i = -z_i² A √I/(1 + 1.5 √I) + sum_k eps_ik m_k, with the activity of water from the
osmotic coefficient that goes with it. Unknowns are ln m of the free components and of the proton,
and I. Molalities act on each other from one Newton step to the next; the Jacobian has what that
does to first order. The coefficients come from the data file of the library, the formulas are
written here a second time.
"""

import math
from typing import NamedTuple

import numpy as np
from bath_model import LN_10, TRACE_MOL_L, Bath, water_kg_l
from bath_reader import REFERENCE_TEMPERATURE_C, read_tables
from jitted import LARGEST_STEP, solve_in_place
from numba import njit

WATER_KG_MOL = 18.015e-3
B = 1.5
# Steps shrink some twentyfold each: what is left then is ten times less than what a secant on
# the pH needs.
CONVERGED = 1e-12


class Pairs(NamedTuple):
    """Pairs of ions that interact, by their places among the substances."""

    cation: np.ndarray
    anion: np.ndarray
    coefficient: np.ndarray  # ln(10) eps at the temperature and 1 mol/kg
    per_log_i: np.ndarray  # ln(10) d eps/d log10 I


def read_pairs(formulas: list[str], celsius: float) -> Pairs:
    """The pairs of `sit.toml` whose ions are there."""
    rows = []
    for pair in read_tables("sit").values():
        if pair["cation"] in formulas and pair["anion"] in formulas:
            coefficient = pair["epsilon_kg_mol"] + pair.get("temperature_slope_kg_mol_k", 0.0) * (
                celsius - REFERENCE_TEMPERATURE_C
            )
            rows.append(
                (
                    formulas.index(pair["cation"]),
                    formulas.index(pair["anion"]),
                    coefficient * LN_10,
                    pair.get("epsilon_log_i_kg_mol", 0.0) * LN_10,
                )
            )
    cation, anion, coefficient, per_log_i = zip(*rows, strict=True)
    return Pairs(np.array(cation), np.array(anion), np.array(coefficient), np.array(per_log_i))


def compiled_interacting(bath: Bath, pairs: Pairs, water: np.ndarray, inert: np.ndarray):
    """The compiled pH of (totals, memory) in the bath, and what makes a fresh memory.

    `water` is how much water each substance forms from, `inert` the places of the components that
    form nothing.
    """
    solution = bath.solution
    active, ln_k, slope_a = solution.active, solution.ln_k, solution.slope_a
    forms = np.ascontiguousarray(solution.forms)
    formed, unknowns = forms.shape
    proton, strength_at = unknowns - 1, unknowns
    substances = formed + inert.size
    charges = np.concatenate([solution.charge, solution.inert_charge[inert]])
    squares = charges**2
    square_change = solution.square_change
    substance, of_unknown = np.nonzero(forms)
    count = forms[substance, of_unknown]
    first = np.searchsorted(substance, np.arange(formed + 1))
    volume = solution[-6:]
    cation, anion, coefficient, per_log_i = pairs

    @njit(error_model="numpy")
    def ph(per_litre, memory, m):
        totals = per_litre / water_kg_l(*volume, per_litre)
        x, last = memory[: unknowns + 1], memory[unknowns + 2 :]
        for k in range(active.size):
            now = max(totals[active[k]], TRACE_MOL_L)
            x[k] += math.log(now / last[k])
            last[k] = now
        for k in range(inert.size):
            m[formed + k] = totals[inert[k]]
        shift, by_strength = np.empty(substances), np.empty(substances)
        step = np.empty(unknowns + 1)
        moved, pushed = np.empty((formed, unknowns + 1)), np.empty((substances, unknowns + 1))
        jacobian = np.empty((unknowns + 1, unknowns + 1))
        for _ in range(200):
            strength, ln_water = x[strength_at], memory[unknowns + 1]
            root = math.sqrt(strength)
            scale = slope_a * LN_10
            phi, slope = (
                scale * root / (1.0 + B * root),
                scale * 0.5 / (root * (1.0 + B * root) ** 2),
            )
            log_i = math.log10(strength)
            shift[:] = 0.0
            by_strength[:] = 0.0
            for p in range(cation.size):
                eps = coefficient[p] + per_log_i[p] * log_i
                per_i = per_log_i[p] / (LN_10 * strength)
                shift[cation[p]] += eps * m[anion[p]]
                shift[anion[p]] += eps * m[cation[p]]
                by_strength[cation[p]] += per_i * m[anion[p]]
                by_strength[anion[p]] += per_i * m[cation[p]]

            step[:] = 0.0
            changed = 0.0
            for s in range(formed):
                ln_m = ln_k[s] - square_change[s] * phi - shift[s] + water[s] * ln_water
                for t in range(first[s], first[s + 1]):
                    ln_m += count[t] * (x[of_unknown[t]] + shift[of_unknown[t]])
                new = math.exp(ln_m)
                changed = max(changed, abs(new - m[s]))
                m[s] = new
                for t in range(first[s], first[s + 1]):
                    if of_unknown[t] != proton:
                        step[of_unknown[t]] += count[t] * new
            for s in range(substances):
                step[proton] += charges[s] * m[s]
                step[strength_at] -= 0.5 * squares[s] * m[s]
            step[strength_at] += strength
            residual = max(abs(step[proton]), abs(step[strength_at])) / strength
            for k in range(proton):
                step[k] -= last[k]
                residual = max(residual, abs(step[k]) / last[k])

            # ln a_w of these molalities, for the next round.
            charge_part = 1.0 + B * root
            charge_part = (
                -2.0
                * slope_a
                / B**3
                * (charge_part - 2.0 * math.log(charge_part) - 1.0 / charge_part)
            )
            osmotic = LN_10 * charge_part
            for s in range(substances):
                osmotic += m[s] * (1.0 + 0.5 * (shift[s] + 0.5 * strength * by_strength[s]))
            new_water = -WATER_KG_MOL * osmotic
            changed = max(changed, abs(new_water - ln_water))
            memory[unknowns + 1] = new_water
            if residual < CONVERGED and changed < CONVERGED:
                return -(x[proton] + shift[proton] - phi) / LN_10

            # d ln m by the unknowns: at constant shifts, then with what the ions it
            # moves do to others.
            for s in range(formed):
                moved[s, :] = forms[s, 0] * 0.0
                for t in range(first[s], first[s + 1]):
                    moved[s, of_unknown[t]] = count[t]
                moved[s, strength_at] = -square_change[s] * slope
            pushed[:] = 0.0
            pushed[:, strength_at] = by_strength
            for p in range(cation.size):
                eps = coefficient[p] + per_log_i[p] * log_i
                for to, by in ((cation[p], anion[p]), (anion[p], cation[p])):
                    if by < formed and to < formed:
                        amount = eps * m[by]
                        for u in range(unknowns + 1):
                            pushed[to, u] += amount * moved[by, u]
            for s in range(formed):
                for u in range(unknowns + 1):
                    moved[s, u] -= pushed[s, u]
                for t in range(first[s], first[s + 1]):
                    for u in range(unknowns + 1):
                        moved[s, u] += count[t] * pushed[of_unknown[t], u]
            jacobian[:] = 0.0
            jacobian[strength_at, strength_at] = 1.0
            for s in range(formed):
                for t in range(first[s], first[s + 1]):
                    row, amount = of_unknown[t], count[t] * m[s]
                    if row != proton:
                        for u in range(unknowns + 1):
                            jacobian[row, u] += amount * moved[s, u]
                z, half = charges[s] * m[s], -0.5 * squares[s] * m[s]
                for u in range(unknowns + 1):
                    jacobian[proton, u] += z * moved[s, u]
                    jacobian[strength_at, u] += half * moved[s, u]
            solve_in_place(jacobian, step)
            longest = np.max(np.abs(step[:unknowns]))
            part = min(1.0, LARGEST_STEP / longest)
            for k in range(unknowns):
                x[k] -= part * step[k]
            x[strength_at] = max(strength - part * step[strength_at], 0.2 * strength)
        raise ArithmeticError("the speciation does not converge")

    @njit(error_model="numpy")
    def ph_of(totals, memory):
        return ph(totals, memory[:-substances], memory[-substances:])

    def fresh_memory() -> np.ndarray:
        # ln free, I, ln a_w, the totals they solve, and the molalities that act.
        memory = np.zeros(unknowns + 2 + active.size + substances)
        memory[unknowns - 1] = -bath.ph * LN_10
        memory[unknowns] = 1.0
        memory[unknowns + 2 : unknowns + 2 + active.size] = 1.0
        return memory

    return ph_of, fresh_memory


def interacting(bath: Bath):
    """The same of a bath of `bath_reader.py`."""
    components = read_tables("components")
    active = [bath.components[at] for at in bath.solution.active]
    inert = np.array([at for at, name in enumerate(bath.components) if name not in active])
    species = dict(bath.species)
    formulas = [components[name]["formula"] for name in active] + ["H+"]
    formulas += [entry["formula"] for entry in species.values()]
    formulas += [components[bath.components[at]]["formula"] for at in inert]
    pairs = read_pairs(formulas, bath.temperature_c)
    excluded = {
        name
        for pair in read_tables("sit").values()
        if pair["cation"] in formulas and pair["anion"] in formulas
        for name in pair.get("excludes_species", [])
    }
    assert not excluded & set(species), "a species that a coefficient stands for"
    water = np.array(
        [0.0 for _ in [*active, "H+"]]
        + [s["forms_from"].get("water", 0.0) for s in species.values()]
    )
    return compiled_interacting(bath, pairs, water, inert)
