"""The whole life of the bench as one compiled loop: the pair of Dormand and Prince, events,
doses, no line of SciPy.

What a driver costs that is called from outside for every step is left out here, so that a ratio
to this peer is one of methods and not of languages. The pH behind right-hand sides, events and
doses is handed in, compiled: by the Davies equation from `jitted.py`, by specific interaction
from `interacting.py`.
"""

import numpy as np
from bath_model import METAL, PH, REDUCTANT, Bath, rates_of_change
from numba import njit

# Dormand and Prince (Hairer, Norsett, Wanner I, II.5): stages, error, and the interpolant of
# DOPRI5 (II.6).
STAGES = np.array(
    [
        [0, 0, 0, 0, 0, 0],
        [1 / 5, 0, 0, 0, 0, 0],
        [3 / 40, 9 / 40, 0, 0, 0, 0],
        [44 / 45, -56 / 15, 32 / 9, 0, 0, 0],
        [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729, 0, 0],
        [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656, 0],
        [35 / 384, 0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84],
    ]
)
ERROR = np.array(
    [71 / 57600, 0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40],
)
BETWEEN = np.array(
    [
        -12715105075 / 11282082432,
        0,
        87487479700 / 32700410799,
        -10690763975 / 1880347072,
        701980252875 / 199316789632,
        -1453857185 / 822651844,
        69997945 / 29380423,
    ]
)
PH_TOLERANCE = 1e-10
HAIR = 1e-9
FIRST_STEP_H = 0.1


def compiled_life(bath: Bath, ph, fresh_memory):
    """A life by (relative tolerance, width of event times, h): clock, state, stops, evaluations.

    `ph` is compiled, of (totals, memory); `fresh_memory` makes a memory that solved nothing yet.
    """
    surface, components = bath.surface, len(bath.components)
    metal, reductant = bath.metal, bath.reductant
    metal_feed, reductant_feed, corrector = (
        np.ascontiguousarray(bath.replenishers[which]) for which in (METAL, REDUCTANT, PH)
    )
    target, lowest_ph = bath.ph, bath.ph - bath.dead_band
    fraction, with_metal, turnovers = bath.metal_fraction, bath.correct_with_metal, bath.turnovers
    slots = surface.makes.shape[0] + 1

    @njit(error_model="numpy")
    def derivative(state, memory):
        totals = state[:components]
        return rates_of_change(surface, totals, ph(totals, memory))

    @njit(error_model="numpy")
    def correct_ph(state, memory):
        totals = state[:components].copy()
        before, off_before = 0.0, ph(totals, memory) - target
        if off_before >= 0.0:
            return
        now = 1e-4
        for _ in range(50):
            off = ph(totals + now * corrector, memory) - target
            if abs(off) < PH_TOLERANCE or off == off_before:
                state[:components] += now * corrector
                return
            step = -off * (now - before) / (off - off_before)
            before, off_before = now, off
            now = max(now + step, 0.5 * now)
        raise ArithmeticError("the corrector does not reach the pH")

    @njit(error_model="numpy")
    def try_step(state, h, k, memory):
        new = state
        for stage in range(1, 7):
            new = state.copy()
            for earlier in range(stage):
                new += (h * STAGES[stage, earlier]) * k[earlier]
            k[stage] = derivative(new, memory)
        return new

    @njit(error_model="numpy")
    def error_norm(state, new, h, k, relative):
        total = 0.0
        for slot in range(slots):
            error = 0.0
            for stage in range(7):
                error += ERROR[stage] * k[stage, slot]
            scale = relative * (1e-2 + max(abs(state[slot]), abs(new[slot])))
            total += (h * error / scale) ** 2
        return np.sqrt(total / slots)

    @njit(error_model="numpy")
    def polynomial(state, new, h, k):
        rows = np.empty((5, slots))
        rows[0], rows[1] = state, new - state
        rows[2] = h * k[0] - rows[1]
        rows[3] = rows[1] - h * k[6] - rows[2]
        rows[4] = 0.0
        for stage in range(7):
            rows[4] += (h * BETWEEN[stage]) * k[stage]
        return rows

    @njit(error_model="numpy")
    def inside(rows, theta):
        rest = 1.0 - theta
        return rows[0] + theta * (rows[1] + rest * (rows[2] + theta * (rows[3] + rest * rows[4])))

    @njit(error_model="numpy")
    def margin(which, state, set_metal, memory):
        if which == 0:
            return state[metal] / set_metal - fraction
        return ph(state[:components], memory) - lowest_ph

    @njit(error_model="numpy")
    def crossing(which, rows, at_start, at_end, width, set_metal, memory):
        # The method of Illinois; the crossed side.
        low, high, f_low, f_high = 0.0, 1.0, at_start, at_end
        while high - low > width and f_high != 0.0:
            middle = high - f_high * (high - low) / (f_high - f_low)
            # Past the root by a hair rather than short of it, so that both sides close in.
            middle = min(max(middle + 0.1 * width, low + 0.1 * width), high - 0.1 * width)
            if which == 0:
                rest = 1.0 - middle
                column = rows[:, metal]
                bend = column[2] + middle * (column[3] + rest * column[4])
                f = (column[0] + middle * (column[1] + rest * bend)) / set_metal - fraction
            else:
                f = margin(which, inside(rows, middle), set_metal, memory)
            if f > 0.0:
                low, f_low, f_high = middle, f, 0.5 * f_high
            else:
                high, f_high, f_low = middle, f, 0.5 * f_low
        return high

    @njit(error_model="numpy")
    def life(make_up, memory, relative, width_h):
        state = np.zeros(slots)
        state[:components] = make_up
        correct_ph(state, memory)
        set_metal, set_reductant = state[metal], state[reductant]
        clock_h, h, fed, stops, right_hand_sides = 0.0, FIRST_STEP_H, 0.0, 0, 0
        k = np.empty((7, slots))
        while fed < turnovers - HAIR:
            k[0] = derivative(state, memory)
            right_hand_sides += 1
            while True:
                new = try_step(state, h, k, memory)
                right_hand_sides += 6
                error = error_norm(state, new, h, k, relative)
                factor = min(10.0, max(0.2, 0.9 * (error + 1e-16) ** -0.2))
                if error > 1.0:
                    h *= factor
                    continue
                # Known at this state, before anything else is asked of the memory.
                ph_end = margin(1, new, set_metal, memory)
                metal_end = margin(0, new, set_metal, memory)
                if metal_end > 0.0 and ph_end > 0.0:
                    clock_h += h
                    state, h = new, h * factor
                    k[0] = k[6]
                    continue
                rows = polynomial(state, new, h, k)
                theta = 1.0
                if metal_end <= 0.0:
                    start = margin(0, state, set_metal, memory)
                    theta = crossing(0, rows, start, metal_end, width_h / h, set_metal, memory)
                if ph_end <= 0.0:
                    start = margin(1, state, set_metal, memory)
                    found = crossing(1, rows, start, ph_end, width_h / h, set_metal, memory)
                    theta = min(theta, found)
                clock_h += theta * h
                state = inside(rows, theta)
                h = max(h, theta * h * factor)
                break
            stops += 1
            if margin(0, state, set_metal, memory) <= 0.0:
                metal_l = (set_metal - state[metal]) / metal_feed[metal]
                state[:components] += metal_l * metal_feed
                fed += metal_l * metal_feed[metal] / set_metal
                reductant_l = max(set_reductant - state[reductant], 0.0) / reductant_feed[reductant]
                state[:components] += reductant_l * reductant_feed
                if with_metal:
                    correct_ph(state, memory)
            if margin(1, state, set_metal, memory) <= 0.0:
                correct_ph(state, memory)
        return clock_h, state, stops, right_hand_sides

    return lambda relative, width_h: life(bath.make_up.copy(), fresh_memory(), relative, width_h)
