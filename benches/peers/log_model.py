"""Coupons and bath logs with SciPy and numba: what the fit of the bench computes, without bathkin.

On top of `bath_model` and `jitted`: the bath at any temperature, five numbers of its metal law that
a fit may move, and the course of a log. The equilibrium constants and the Debye-Hückel slope are
polynomials in the temperature through baths resolved at a few of them.
"""

import csv
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
from bath_model import (
    LN_10,
    METAL,
    PH,
    REDUCTANT,
    Bath,
    growth,
    half_reaction_rates,
)
from bath_reader import bath_of, children, numbers_of
from driver import ABSOLUTE_TOLERANCE, RELATIVE_TOLERANCE, corrector_for
from jitted import compiled_speciation, fresh_memory
from numba import njit
from scipy import constants as si
from scipy.integrate import odeint, solve_ivp

DATA = Path(__file__).resolve().parents[1] / "data"
RUNS, LOGS = "runs.csv", ("log_a.csv", "log_b.csv", "log_c.csv")

# The five numbers, in the order in which a law holds them, the rate by its logarithm.
FREE = (
    "deposition.rate_mol_m2_s",
    "deposition.activation_energy_kj_mol",
    "deposition.ph_order",
    "deposition.order.nickel",
    "deposition.order.hypophosphite",
)
CONDITIONS = (
    "temperature_c",
    "ph",
    "nickel_g_l",
    "hypophosphite_mol_l",
    "volume_l",
    "area_cm2",
    "time_min",
)
CONTENTS = ("nickel_g_l", "hypophosphite_mol_l", "orthophosphite_mol_l")
STARTS = (*CONTENTS, "ph")
READINGS = (*STARTS, "deposition_um_h")
SOLUTIONS = {"metal_ml_l": METAL, "reductant_ml_l": REDUCTANT, "ph_ml_l": PH}

# The data keep within these, degC; a polynomial of this degree is good to 1e-10 there.
COLDEST_C, HOTTEST_C = 80.0, 90.0
DEGREE = 6

Table = dict[str, np.ndarray]


class Coupon(NamedTuple):
    """Conditions of coupons: the bath they get, and what is done with it."""

    totals: np.ndarray
    celsius: float
    hours: float
    area_m2_l: float
    volume_l: float


def read_table(name: str) -> Table:
    """A sheet of the bench data by columns."""
    lines = (DATA / name).read_text("utf-8").splitlines()
    rows = list(csv.reader(line for line in lines if not line.startswith("#")))
    numbers = np.array(rows[1:], dtype=float)
    return dict(zip(rows[0], numbers.T, strict=True))


class LogModel:
    """Values of the coupons and of the logs as functions of the law and the starts.

    What was computed last is kept by case, so that a number of one log does not run the others, and
    `odeint` integrates, which costs least. A plain model keeps nothing and goes by `solve_ivp`.
    """

    plain = False

    def __init__(self, recipe):
        self.bath = bath_of(recipe)
        values = numbers_of(recipe)
        self.law = tuple(np.log(values[path]) if path == FREE[0] else values[path] for path in FREE)
        self.compile(recipe, values)
        self.memory, self.memory_settled = fresh_memory(self.bath), fresh_memory(self.bath)
        self.logs = [read_table(name) for name in LOGS]
        self.read_coupons(recipe, values, read_table(RUNS))
        self.forget()

    def forget(self):
        """Forgets what was computed, so that every fit starts the same."""
        self.simulations = 0
        if self.plain:
            self.coupon, self.log = self.coupon_mg, self.follow
            return
        self.coupon = lru_cache(maxsize=64)(self.coupon_mg)
        self.log = lru_cache(maxsize=64)(self.follow)

    def compile(self, recipe, values):
        """Compiles the chemistry, and the surface with a metal law that is inhibition alone."""
        bath = self.bath
        components = len(bath.components)
        warmth = Warmth(recipe)
        at, middle, half = warmth.coefficients, warmth.middle, warmth.half
        solve = compiled_speciation(bath)
        surface = bath.surface._replace(
            ln_reference=bath.surface.ln_reference.copy(),
            per_ph=bath.surface.per_ph.copy(),
            per_ln_total=bath.surface.per_ln_total.copy(),
        )
        surface.ln_reference[0] = surface.per_ph[0] = 0.0
        surface.per_ln_total[0] = 0.0
        own = children(values, "deposition")
        per_kelvin = si.kilo / si.R
        reference_k = own["reference_temperature_c"] + si.zero_Celsius
        reference_ph = own["reference_ph"]
        nickel, hypophosphite = bath.metal, bath.reductant
        reference_nickel = own["reference_mol_l.nickel"]
        reference_hypophosphite = own["reference_mol_l.hypophosphite"]
        zero_k = si.zero_Celsius

        @njit(error_model="numpy")
        def ph_at(totals, celsius, memory):
            x = (celsius - middle) / half
            constants = at[0].copy()
            for row in at[1:]:
                constants = constants * x + row
            return solve(totals, memory, constants[:-1], constants[-1])

        @njit(error_model="numpy")
        def rates(totals, ph, celsius, law):
            ln = law[0] - law[1] * per_kelvin * (1.0 / (celsius + zero_k) - 1.0 / reference_k)
            ln += law[2] * LN_10 * (ph - reference_ph)
            ln += law[3] * np.log(totals[nickel] / reference_nickel)
            ln += law[4] * np.log(totals[hypophosphite] / reference_hypophosphite)
            # All other rates go with that of the metal.
            return half_reaction_rates(surface, totals, ph) * np.exp(ln)

        @njit(error_model="numpy")
        def derivative(state, time, law, course, memory):
            since, from_c, slope, area_m2_l = course
            totals = state[:components]
            celsius = from_c + slope * (time - since)
            now = rates(totals, ph_at(totals, celsius, memory), celsius, law)
            change = np.empty(components + 1)
            change[:-1] = surface.makes[:components] @ now
            change[-1] = surface.grams @ now
            return change * (area_m2_l * 3600.0)

        @njit(error_model="numpy")
        def growth_um_h(totals, celsius, law, memory):
            return growth(surface, rates(totals, ph_at(totals, celsius, memory), celsius, law))[0]

        self.ph_at, self.derivative, self.growth_um_h = ph_at, derivative, growth_um_h

    def carry(self, state: np.ndarray, law, course, hours: tuple[float, float]) -> np.ndarray:
        """The state, totals and grams of deposit per litre, at the end of a stretch."""
        if self.plain:
            return solve_ivp(
                lambda time, state: self.derivative(state, time, law, course, self.memory),
                hours,
                state,
                rtol=RELATIVE_TOLERANCE,
                atol=ABSOLUTE_TOLERANCE,
            ).y[:, -1]
        return odeint(
            self.derivative,
            state,
            hours,
            args=(law, course, self.memory),
            rtol=RELATIVE_TOLERANCE,
            atol=ABSOLUTE_TOLERANCE,
        )[-1]

    def settled(self, totals: np.ndarray, celsius: float, ph: float) -> np.ndarray:
        """Totals after the corrector has brought the pH up."""
        gives = self.bath.replenishers[PH]

        def of(now: np.ndarray) -> float:
            return self.ph_at(now, celsius, self.memory_settled)

        return totals + corrector_for(of, totals, gives, ph) * gives

    def read_coupons(self, recipe, values, runs: Table):
        """Coupons under equal conditions are one case; their baths depend on no free number."""
        conditions = np.column_stack([runs[name] for name in CONDITIONS])
        unique, self.case_of_run = np.unique(conditions, axis=0, return_inverse=True)
        self.mass_gain_mg = runs["mass_gain_mg"]
        metal_g_mol = self.bath.deposited_g_mol[self.bath.metal_element]
        self.coupons = []
        for celsius, ph, nickel_g_l, hypophosphite, volume_l, area_cm2, minutes in unique:
            # One salt brings each of the two, so that contents go with what is weighed out.
            wanted = {
                "nickel_sulfate_hexahydrate": (self.bath.metal, nickel_g_l / metal_g_mol),
                "sodium_hypophosphite_monohydrate": (self.bath.reductant, hypophosphite),
            }
            weighed = recipe
            for salt, (slot, mol_l) in wanted.items():
                path = f"make_up.{salt}_g_l"
                grams = values[path] * mol_l / self.bath.make_up[slot]
                weighed = weighed.with_value(path, grams, "the bench")
            totals = self.settled(bath_of(weighed).make_up, celsius, ph)
            area_m2_l = area_cm2 * si.centi**2 / volume_l
            self.coupons.append(Coupon(totals, celsius, minutes / 60.0, area_m2_l, volume_l))

    def coupon_mg(self, number: int, law: tuple[float, ...]) -> float:
        """Mass that a coupon gains."""
        self.simulations += 1
        one = self.coupons[number]
        course = (0.0, one.celsius, 0.0, one.area_m2_l)
        state = self.carry(np.append(one.totals, 0.0), law, course, (0.0, one.hours))
        return state[-1] * one.volume_l * 1e3

    def follow(self, number: int, law: tuple[float, ...], starts: tuple[float, ...]) -> Table:
        """Readings of a log, row by row, that starts with these.

        pH, at the start too, is that of the bath as warm as it is.
        """
        self.simulations += 1
        bath, log = self.bath, self.logs[number]
        per_mol = np.array([bath.deposited_g_mol[bath.metal_element], 1.0, 1.0])
        slots = [bath.metal, bath.reductant, bath.components.index("orthophosphite")]
        totals = bath.make_up.copy()
        totals[slots] = np.array(starts[:-1]) / per_mol
        hours, celsius = log["time_h"] - log["time_h"][0], log["temperature_c"]
        state = np.append(self.settled(totals, celsius[0], starts[-1]), 0.0)
        area_m2_l = log["area_in_tank_dm2"] * si.deci**2 / bath.volume_l
        rows = np.empty((hours.size, len(READINGS)))
        for row, now in enumerate(hours):
            if row > 0:
                since = hours[row - 1]
                slope = (celsius[row] - celsius[row - 1]) / (now - since)
                course = (since, celsius[row - 1], slope, area_m2_l[row])
                state = self.carry(state, law, course, (since, now))
            totals = state[:-1]
            rows[row, :3] = totals[slots] * per_mol
            rows[row, 3] = self.ph_at(totals, celsius[row], self.memory)
            rows[row, 4] = self.growth_um_h(totals, celsius[row], law, self.memory)
            for column, which in SOLUTIONS.items():
                totals += log[column][row] * si.milli * bath.replenishers[which]
        return dict(zip(READINGS, rows.T, strict=True))

    def values(self, law: tuple[float, ...], starts: list[tuple[float, ...]]) -> list[Table]:
        """Every measured value as calculated, sheet by sheet."""
        masses = np.array([self.coupon(number, law) for number in range(len(self.coupons))])
        coupons = {"mass_gain_mg": masses[self.case_of_run]}
        return [coupons, *(self.log(number, law, each) for number, each in enumerate(starts))]


class Warmth:
    """ln K and the Debye-Hückel slope over temperature: polynomials, highest power first."""

    middle, half = 0.5 * (HOTTEST_C + COLDEST_C), 0.5 * (HOTTEST_C - COLDEST_C)

    def __init__(self, recipe):
        nodes = np.polynomial.chebyshev.chebpts1(DEGREE + 1)
        found = [self.constants(recipe, self.middle + self.half * float(node)) for node in nodes]
        self.coefficients = np.polyfit(nodes, np.array(found), DEGREE)

    @staticmethod
    def constants(recipe, celsius: float) -> np.ndarray:
        bath: Bath = bath_of(recipe.with_value("operation.temperature_c", celsius, "the bench"))
        return np.append(bath.solution.ln_k, bath.solution.slope_a)
