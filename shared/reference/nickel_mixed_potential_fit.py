"""Solves for the seven free numbers of the recipe nickel-mixed-potential from seven targets.

Run: python shared/reference/nickel_mixed_potential_fit.py

The targets are common practice of acid nickel, not measurements of one bath: the mixed potential
-0.64 V SCE, 16.5 um/h, 9.5 wt% P and 2.9 mol hypophosphite per mol nickel at 88 degC and pH 4.8;
65 kJ/mol for the rate between 83 and 93 degC; 0.35 decades of rate and -2.5 wt% P per pH between
4.6 and 5.0. As many numbers as targets, so that meeting them is no evidence for any of them.
"""

import warnings

import bathkin as bk
import numpy as np
from scipy.optimize import least_squares

R = 8.314462618e-3
PATHS = (
    "nickel_discharge.exchange_current_ma_cm2",
    "proton_reduction.exchange_current_ma_cm2",
    "phosphorus_reduction.current_ma_cm2",
    "hypophosphite_oxidation.current_ma_cm2",
    "hypophosphite_oxidation.activation_energy_kj_mol",
    "hypophosphite_oxidation.ph_order",
    "phosphorus_reduction.ph_order",
)
START = (np.log(0.024), np.log(0.072), np.log(1.14), np.log(15.6), 66.6, 0.48, -0.11)


def shown(values: dict[str, float]) -> dict[str, float]:
    """What the recipe shows with these numbers."""
    recipe = bk.load_recipe("nickel-mixed-potential").set(values)

    def at(celsius: float, ph: float) -> tuple[float, float, float, float]:
        there = {"operation.temperature_c": celsius, "operation.ph": ph}
        rate = recipe.set(there).make_up().rate()
        return (
            rate.deposition_um_h,
            rate.phosphorus_wt_pct,
            rate.reductant_per_metal_mol,
            rate.potential_v_she - 0.2412,
        )

    middle, cold, hot = at(88, 4.8), at(83, 4.8), at(93, 4.8)
    low, high = at(88, 4.6), at(88, 5.0)
    kelvin = 1 / 356.15 - 1 / 366.15
    return {
        "potential_v_sce": middle[3],
        "um_h": middle[0],
        "wt_pct": middle[1],
        "hypophosphite_per_nickel": middle[2],
        "kj_mol": R * np.log(hot[0] / cold[0]) / kelvin,
        "decades_per_ph": np.log10(high[0] / low[0]) / 0.4,
        "wt_pct_per_ph": (high[1] - low[1]) / 0.4,
    }


TARGETS = np.array([-0.64, 16.5, 9.5, 2.9, 65.0, 0.35, -2.5])
SCALES = np.array([0.01, 1.0, 0.5, 0.1, 3.0, 0.03, 0.3])


def numbers(x: np.ndarray) -> dict[str, float]:
    """Numbers of the recipe by path."""
    return dict(zip(PATHS, [*np.exp(x[:4]).tolist(), *x[4:].tolist()], strict=True))


def off(x: np.ndarray) -> np.ndarray:
    """How far the recipe is from the targets."""
    return (np.array(list(shown(numbers(x)).values())) - TARGETS) / SCALES


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    found = least_squares(off, START, x_scale=(0.5, 0.5, 0.5, 0.5, 5.0, 0.2, 0.2), xtol=1e-10)
    for path, value in numbers(found.x).items():
        print(f"{path} = {value:.6g}")
    print(shown(numbers(found.x)))
