"""The life of the bench with numba: SciPy drives, everything it calls is compiled.

The right-hand side and the pH behind the events and the doses are machine code. Newton's method for
the speciation is written out in loops over the terms that are there, as numba likes it; the surface
is the code of `bath_model`, compiled. Arrays of the bath are captured: constants to the compiler.
"""

import math

import numpy as np
from bath_model import LN_10, TRACE_MOL_L, Bath, rates_of_change, water_kg_l
from numba import njit

CONVERGED = 1e-10
LARGEST_STEP = 2.0


@njit(error_model="numpy")
def solve_in_place(matrix, right):
    """Gaussian elimination with partial pivoting; the solution replaces the right-hand side."""
    n = right.size
    for k in range(n):
        pivot = k
        for row in range(k + 1, n):
            if abs(matrix[row, k]) > abs(matrix[pivot, k]):
                pivot = row
        if pivot != k:
            right[k], right[pivot] = right[pivot], right[k]
            for column in range(k, n):
                matrix[k, column], matrix[pivot, column] = matrix[pivot, column], matrix[k, column]
        for row in range(k + 1, n):
            factor = matrix[row, k] / matrix[k, k]
            if factor != 0.0:
                for column in range(k + 1, n):
                    matrix[row, column] -= factor * matrix[k, column]
                right[row] -= factor * right[k]
    for row in range(n - 1, -1, -1):
        for column in range(row + 1, n):
            right[row] -= matrix[row, column] * right[column]
        right[row] /= matrix[row, row]


def compiled_speciation(bath: Bath):
    """A compiled pH of (totals, memory, ln K, Debye-Hückel slope), at any temperature.

    The memory: ln free and I, then the totals they solve.
    """
    solution = bath.solution
    active, charge, inert = solution.active, solution.charge, solution.inert_charge
    square_change, held_above = solution.square_change, solution.held_above
    substances, unknowns = solution.forms.shape
    proton, strength_at = unknowns - 1, unknowns
    # Stoichiometry by the terms that are there: substance s has terms first[s] to first[s + 1].
    substance, of_unknown = np.nonzero(solution.forms)
    count = solution.forms[substance, of_unknown]
    first = np.searchsorted(substance, np.arange(substances + 1))
    volume = solution[-6:]

    @njit(error_model="numpy")
    def ph(per_litre, memory, ln_k, slope_a):
        scale_a = slope_a * LN_10
        totals = per_litre / water_kg_l(*volume, per_litre)
        x, last = memory[: unknowns + 1], memory[unknowns + 1 :]
        c, step = np.empty(substances), np.empty(unknowns + 1)
        jacobian = np.empty((unknowns + 1, unknowns + 1))
        for k in range(active.size):
            now = max(totals[active[k]], TRACE_MOL_L)
            if now != last[k]:
                x[k] += math.log(now / last[k])
                last[k] = now
        inert_charge = inert_squares = 0.0
        for j in range(inert.size):
            inert_charge += inert[j] * totals[j]
            inert_squares += inert[j] * inert[j] * totals[j]

        for _ in range(100):
            strength = x[strength_at]
            capped = min(strength, held_above)
            root = math.sqrt(capped)
            phi = scale_a * (root / (1.0 + root) - 0.3 * capped)
            slope = 0.0
            if strength <= held_above:
                slope = scale_a * (0.5 / (root * (1.0 + root) ** 2) - 0.3)

            step[:] = 0.0
            for s in range(substances):
                ln_c = ln_k[s] - square_change[s] * phi
                for t in range(first[s], first[s + 1]):
                    ln_c += count[t] * x[of_unknown[t]]
                c[s] = math.exp(ln_c)
                for t in range(first[s], first[s + 1]):
                    if of_unknown[t] != proton:
                        step[of_unknown[t]] += count[t] * c[s]
                step[proton] += charge[s] * c[s]
                step[strength_at] -= 0.5 * charge[s] * charge[s] * c[s]
            step[proton] += inert_charge
            step[strength_at] += strength - 0.5 * inert_squares
            residual = max(abs(step[proton]), abs(step[strength_at])) / strength
            for k in range(proton):
                step[k] -= last[k]
                residual = max(residual, abs(step[k]) / last[k])
            if residual < CONVERGED:
                return (phi - x[proton]) / LN_10

            jacobian[:] = 0.0
            jacobian[strength_at, strength_at] = 1.0
            for s in range(substances):
                by_strength = -square_change[s] * slope * c[s]
                z, half_square = charge[s], -0.5 * charge[s] * charge[s]
                for t in range(first[s], first[s + 1]):
                    row, amount = of_unknown[t], count[t] * c[s]
                    if row != proton:
                        for u in range(first[s], first[s + 1]):
                            jacobian[row, of_unknown[u]] += count[u] * amount
                        jacobian[row, strength_at] += count[t] * by_strength
                    jacobian[proton, row] += z * amount
                    jacobian[strength_at, row] += half_square * amount
                jacobian[proton, strength_at] += z * by_strength
                jacobian[strength_at, strength_at] += half_square * by_strength
            solve_in_place(jacobian, step)
            longest = 0.0
            for k in range(unknowns):
                longest = max(longest, abs(step[k]))
            fraction = min(1.0, LARGEST_STEP / longest)
            for k in range(unknowns):
                x[k] -= fraction * step[k]
            x[strength_at] = max(strength - fraction * step[strength_at], 0.2 * strength)
        raise ArithmeticError("the speciation does not converge")

    return ph


def fresh_memory(bath: Bath) -> np.ndarray:
    """A memory that has solved nothing yet."""
    unknowns = bath.solution.forms.shape[1]
    memory = np.ones(unknowns + 1 + bath.solution.active.size)
    memory[: unknowns - 1] = 0.0
    memory[unknowns - 1] = -bath.ph * LN_10
    return memory


def compiled_ph(solve, ln_k: np.ndarray, slope_a: float):
    """The compiled pH of (totals, memory) at one temperature."""

    @njit(error_model="numpy")
    def ph(totals, memory):
        return solve(totals, memory, ln_k, slope_a)

    return ph


class Jitted:
    """A peer that compiles on first use; a second life costs no compilation."""

    def __init__(self, bath: Bath):
        self.bath = bath
        solution, surface = bath.solution, bath.surface
        components = len(bath.components)
        self.free_metal = list(solution.active).index(bath.metal)
        solve = compiled_speciation(bath)
        ph = self.compiled_ph = compiled_ph(solve, solution.ln_k, solution.slope_a)
        self.compiled_ph_cooled = compiled_ph(solve, solution.ln_k_cooled, solution.slope_a_cooled)

        @njit(error_model="numpy")
        def derivative(_time, state, memory):
            totals = state[:components]
            return rates_of_change(surface, totals, ph(totals, memory))

        self.compiled_derivative = derivative

    def forget(self):
        solution = self.bath.solution
        unknowns = solution.forms.shape[1]
        self.hot = np.ones(unknowns + 1 + solution.active.size)
        self.hot[: unknowns - 1] = 0.0
        self.hot[unknowns - 1] = -self.bath.ph * LN_10
        self.cooled = self.hot.copy()

    def derivative(self, time, state):
        return self.compiled_derivative(time, state, self.hot)

    def ph(self, totals):
        return self.compiled_ph(totals, self.hot)

    def ph_cooled(self, totals):
        return self.compiled_ph_cooled(totals, self.cooled)

    def readings(self, totals):
        ph = self.ph(totals)
        unknowns = self.bath.solution.forms.shape[1]
        water = water_kg_l(*self.bath.solution[-6:], totals)
        return ph, self.hot[unknowns] * water, math.exp(self.hot[self.free_metal]) * water
