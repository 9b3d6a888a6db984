"""From dose to dose: the part of the life that both peers share, driven by `solve_ivp`.

A peer brings the right-hand side, the pH and the readings; see `plain.py` and `jitted.py`. The
state is per litre: totals, deposited atoms, evolved atoms, area plated.
"""

from collections.abc import Callable
from typing import Protocol

import numpy as np
from bath_model import (
    METAL,
    PH,
    REDUCTANT,
    REFERENCE_TEMPERATURE_C,
    Bath,
    growth,
    half_reaction_rates,
)
from scipy import constants as si
from scipy.integrate import solve_ivp

# LSODA, started afresh after each dose, is the fastest of SciPy's methods here with either peer:
# its short steps bracket the events closely. The tolerances are bathkin's; at 1e-7 the peers are
# some 15 % faster and their clock is off by 4e-6.
METHOD = "LSODA"
RELATIVE_TOLERANCE = 1e-8
ABSOLUTE_TOLERANCE = 1e-10
LONGEST_H = 8760.0
PH_TOLERANCE = 1e-11
# A dose that completes a turnover does so to the last bit or a hair short of it.
HAIR = 1e-9


class Peer(Protocol):
    """What a peer brings."""

    bath: Bath

    def forget(self) -> None:
        """Forgets the last speciation, so that every life starts the same."""

    def derivative(self, time: float, state: np.ndarray) -> np.ndarray:
        """Change of the state per hour."""

    def ph(self, totals: np.ndarray) -> float:
        """pH in the bath."""

    def ph_cooled(self, totals: np.ndarray) -> float:
        """pH of a sample at 25 degC."""

    def readings(self, totals: np.ndarray) -> tuple[float, float, float]:
        """pH, ionic strength and free metal in the bath."""


def stops(event):
    """Makes a falling zero of an event function end the stretch."""
    event.terminal, event.direction = True, -1
    return event


def corrector_for(
    ph: Callable[[np.ndarray], float], totals: np.ndarray, gives: np.ndarray, target: float
) -> float:
    """Litres of corrector per litre of bath that bring the pH up to a target (secant)."""
    last, last_off = 0.0, ph(totals) - target
    if last_off >= 0.0:
        return 0.0
    now = 1e-4
    for _ in range(50):
        off = ph(totals + now * gives) - target
        if abs(off) < PH_TOLERANCE or off == last_off:
            return now
        # The titration curve is steep only where the bath is not buffered: step by half there.
        step = -off * (now - last) / (off - last_off)
        last, last_off = now, off
        now = max(now + step, 0.5 * now)
    raise ArithmeticError("the corrector does not reach the pH")


class Life:
    """A life under way."""

    def __init__(self, peer: Peer):
        self.peer, self.bath = peer, peer.bath
        self.components = len(self.bath.components)
        self.right_hand_sides = self.stops = 0
        self.time_h = 0.0
        self.fed = np.zeros(3)  # litres per litre
        self.rows: list[dict[str, float]] = []

    def live(self) -> "Life":
        """Runs from make-up to the last turnover."""
        bath = self.bath
        self.peer.forget()
        totals = bath.make_up.copy()
        totals += self.corrector_for(totals) * bath.replenishers[PH]
        self.set_metal, self.set_reductant = totals[bath.metal], totals[bath.reductant]
        self.fresh_ph = self.peer.ph(totals)
        self.state = np.zeros(bath.surface.makes.shape[0] + 1)
        self.state[: self.components] = totals
        self.write_row()

        while self.turnovers() < bath.turnovers - HAIR:
            stretch = solve_ivp(
                self.peer.derivative,
                (self.time_h, LONGEST_H),
                self.state,
                method=METHOD,
                rtol=RELATIVE_TOLERANCE,
                atol=ABSOLUTE_TOLERANCE,
                events=[self.metal_low, self.ph_low],
            )
            assert stretch.status == 1, stretch.message
            self.right_hand_sides += stretch.nfev
            self.stops += 1
            self.time_h, self.state = stretch.t[-1], stretch.y[:, -1]
            self.do_what_is_due(*(len(times) > 0 for times in stretch.t_events))
            if self.turnovers() >= len(self.rows) - HAIR:
                self.write_row()
        return self

    @property
    def totals(self) -> np.ndarray:
        return self.state[: self.components]

    @stops
    def metal_low(self, _time, state):
        return state[self.bath.metal] / self.set_metal - self.bath.metal_fraction

    @stops
    def ph_low(self, _time, state):
        return self.peer.ph(state[: self.components]) - (self.bath.ph - self.bath.dead_band)

    def turnovers(self) -> float:
        return self.fed @ self.bath.replenishers[:, self.bath.metal] / self.set_metal

    def do_what_is_due(self, metal_is_low: bool, ph_is_low: bool):
        """Metal and reductant back to their set-points, then the pH."""
        bath = self.bath
        correct = ph_is_low
        if metal_is_low or self.metal_low(self.time_h, self.state) <= 0.0:
            for which, slot, target in (
                (METAL, bath.metal, self.set_metal),
                (REDUCTANT, bath.reductant, self.set_reductant),
            ):
                missing = max(target - self.totals[slot], 0.0)
                self.add(which, missing / bath.replenishers[which, slot])
            correct = correct or bath.correct_with_metal
        if correct or self.ph_low(self.time_h, self.state) <= 0.0:
            self.add(PH, self.corrector_for(self.totals))

    def add(self, which: int, litres: float):
        self.state[: self.components] += litres * self.bath.replenishers[which]
        self.fed[which] += litres

    def corrector_for(self, totals: np.ndarray) -> float:
        return corrector_for(self.peer.ph, totals, self.bath.replenishers[PH], self.bath.ph)

    def write_row(self):
        """A row of the table, with the names bathkin gives its columns."""
        bath, totals = self.bath, self.totals
        ph, ionic_strength, free_metal = self.peer.readings(totals)
        now = half_reaction_rates(bath.surface, totals, ph)
        at_set_points = totals.copy()
        at_set_points[bath.metal] = self.set_metal
        fair = half_reaction_rates(bath.surface, at_set_points, self.fresh_ph)
        fair_um_h, alloy_wt_pct = growth(bath.surface, fair)
        used = bath.surface.makes @ now
        deposited = self.state[self.components :][: bath.deposited_g_mol.size]
        molar_volume = si.R * (REFERENCE_TEMPERATURE_C + si.zero_Celsius) / si.atm / si.liter
        self.rows.append(
            {
                "turnovers": self.turnovers(),
                "turnovers_plated": deposited[bath.metal_element] / self.set_metal,
                "clock_h": self.time_h,
                "area_m2": self.state[-1] * bath.volume_l,
                "metal_g_l": totals[bath.metal] * bath.deposited_g_mol[bath.metal_element],
                "reductant_mol_l": totals[bath.reductant],
                "ph": ph,
                "ph_25c": self.peer.ph_cooled(totals),
                "deposition_um_h": fair_um_h,
                "deposition_now_um_h": growth(bath.surface, now)[0],
                "phosphorus_wt_pct": alloy_wt_pct,
                "reductant_per_metal_mol": used[bath.reductant] / used[bath.metal],
                "free_metal_mol_l": free_metal,
                "ionic_strength_mol_l": ionic_strength,
                "ph_corrector_g_l": self.fed[PH] * bath.corrector_g_l,
                "metal_replenisher_ml_l": self.fed[METAL] / si.milli,
                "reductant_replenisher_ml_l": self.fed[REDUCTANT] / si.milli,
                "deposit_g": deposited @ bath.deposited_g_mol * bath.volume_l,
                # Atoms of hydrogen, two to a molecule; the only gas.
                "hydrogen_l": self.state[-2] / 2.0 * molar_volume * bath.volume_l,
                **{
                    f"{name}_mol_l": total
                    for name, total in zip(bath.components, totals, strict=True)
                },
            }
        )
