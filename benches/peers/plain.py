"""The life of the bench written plainly: SciPy drives, NumPy does the chemistry.

Newton's method for the speciation starts from the last solution and works on whole arrays, one
linear solve per step: what a practised user of NumPy would write.
"""

import numpy as np
from bath_model import LN_10, TRACE_MOL_L, Bath, rates_of_change, water_kg_l
from scipy.linalg.lapack import dgesv

CONVERGED = 1e-10
LARGEST_STEP = 2.0


class Speciation:
    """Free concentrations at one temperature; remembers the last solution."""

    def __init__(self, bath: Bath, ln_k: np.ndarray, slope_a: float):
        solution = self.solution = bath.solution
        self.ln_k = ln_k
        self.scale_a = slope_a * LN_10
        substances, unknowns = solution.forms.shape
        # Rows: mass balances, charge, ionic strength; one linear map of the concentrations.
        self.sums = np.vstack([solution.forms.T[:-1], solution.charge, -0.5 * solution.charge**2])
        self.moves = np.hstack([solution.forms, np.zeros((substances, 1))])
        self.target = np.zeros(unknowns + 1)
        self.unit_strength = np.zeros((unknowns + 1, unknowns + 1))
        self.unit_strength[-1, -1] = 1.0
        self.ln_free = np.full(unknowns, np.log(1e-2))
        self.ln_free[-1] = -bath.ph * LN_10
        self.strength = 1.0
        self.last_totals = None

    def solve(self, totals: np.ndarray):
        """Solves the balances for these totals; molalities stay in `self.c`."""
        solution = self.solution
        self.water = water_kg_l(*solution[-6:], totals)
        totals = totals / self.water
        active = np.maximum(totals[solution.active], TRACE_MOL_L)
        if self.last_totals is None:
            self.ln_free[:-1] = np.log(active)
        else:
            self.ln_free[:-1] += np.log(active / self.last_totals)
        self.last_totals = active
        inert = solution.inert_charge
        target = self.target
        target[:-2] = active
        target[-2] = -(inert @ totals)
        target[-1] = 0.5 * (inert * inert) @ totals
        scale = np.append(active, (1.0, 1.0))
        for _ in range(100):
            self.phi, slope = self.charge_function()
            c = np.exp(
                self.ln_k - solution.square_change * self.phi + solution.forms @ self.ln_free
            )
            residual = self.sums @ c - target
            residual[-1] += self.strength
            scale[-2:] = self.strength
            if np.abs(residual / scale).max() < CONVERGED:
                self.c = c
                return
            self.moves[:, -1] = -solution.square_change * slope
            jacobian = (self.sums * c) @ self.moves + self.unit_strength
            _, _, step, _ = dgesv(jacobian, residual)
            step *= min(1.0, LARGEST_STEP / np.abs(step[:-1]).max())
            self.ln_free -= step[:-1]
            self.strength = max(self.strength - step[-1], 0.2 * self.strength)
        raise ArithmeticError("the speciation does not converge")

    def charge_function(self) -> tuple[float, float]:
        """-ln gamma of a single charge (Davies, held above its limit) and its slope."""
        held = self.solution.held_above
        strength = min(self.strength, held)
        root = strength**0.5
        value = self.scale_a * (root / (1.0 + root) - 0.3 * strength)
        if self.strength > held:
            return value, 0.0
        return value, self.scale_a * (0.5 / (root * (1.0 + root) ** 2) - 0.3)

    def ph(self, totals: np.ndarray) -> float:
        self.solve(totals)
        return (self.phi - self.ln_free[-1]) / LN_10


class Plain:
    """A peer without a compiler."""

    def __init__(self, bath: Bath):
        self.bath = bath
        self.components = len(bath.components)
        self.free_metal = list(bath.solution.active).index(bath.metal)

    def forget(self):
        bath, solution = self.bath, self.bath.solution
        self.hot = Speciation(bath, solution.ln_k, solution.slope_a)
        self.cooled = Speciation(bath, solution.ln_k_cooled, solution.slope_a_cooled)

    def derivative(self, _time, state):
        totals = state[: self.components]
        return rates_of_change(self.bath.surface, totals, self.hot.ph(totals))

    def ph(self, totals):
        return self.hot.ph(totals)

    def ph_cooled(self, totals):
        return self.cooled.ph(totals)

    def readings(self, totals):
        ph = self.hot.ph(totals)
        water = self.hot.water
        return ph, self.hot.strength * water, self.hot.c[self.free_metal] * water
