"""Mixed potentials of invented surfaces by SciPy's brentq, written apart from the library.

Run: python shared/reference/mixed_potential_scipy.py > shared/reference/mixed_potential_scipy.csv

Four half-reactions: M+2 + 2 e- -> M and 2 H+ + 2 e- -> H2 with their back reactions, one
irreversible reduction, one irreversible oxidation. Written the classical way, about the equilibrium
potential E_eq with an exchange current that depends on concentration, i_ref (c/c_ref)^(beta/n);
where diffusion limits, the current is the root of i = f (1 - i/i_L) - r, found by brentq as well.
"""

import math
import random

import scipy
from scipy.optimize import brentq

R, F = 8.31446261815324, 96485.33212331001
COLUMNS = (
    "temperature_k,ph,metal_mol_l,fuel_mol_l,"
    "metal_i0_a_m2,metal_e0_v,metal_slope_v_k,metal_alpha,metal_beta,metal_ref_mol_l,metal_km_m_s,"
    "proton_i0_a_m2,proton_alpha,proton_beta,proton_ref_ph,"
    "other_i_a_m2,other_e_v,other_alpha,"
    "fuel_i_a_m2,fuel_e_v,fuel_alpha,fuel_km_m_s,"
    "potential_v,metal_a_m2,proton_a_m2,other_a_m2,fuel_a_m2"
)


def limited(f: float, r: float, limit: float) -> float:
    """Root of i = f (1 - i/limit) - r."""
    return brentq(lambda i: f * (1 - i / limit) - r - i, -r - 1.0, f + 1.0, xtol=1e-300, rtol=1e-15)


def currents(e: float, s: dict[str, float]) -> tuple[float, float, float, float]:
    """Partial currents at a potential, A/m2, positive when electrons are given."""
    t = s["temperature_k"]
    u = F / (R * t)
    n = 2
    alpha, beta, c, c_ref = (
        s["metal_alpha"],
        s["metal_beta"],
        s["metal_mol_l"],
        s["metal_ref_mol_l"],
    )
    e_eq = s["metal_e0_v"] + s["metal_slope_v_k"] * (t - 298.15) + R * t / (n * F) * math.log(c)
    i0 = s["metal_i0_a_m2"] * (c / c_ref) ** (beta / n)
    f, r = i0 * math.exp(-alpha * u * (e - e_eq)), i0 * math.exp(beta * u * (e - e_eq))
    limit = n * F * s["metal_km_m_s"] * c * 1000.0
    metal = -limited(f, r, limit)

    alpha, beta = s["proton_alpha"], s["proton_beta"]
    e_eq = -R * t / F * math.log(10) * s["ph"]
    # Two protons and two electrons: (a/a_ref)^(2 beta/2).
    i0 = s["proton_i0_a_m2"] * 10 ** (-(s["ph"] - s["proton_ref_ph"]) * beta)
    proton = -i0 * (math.exp(-alpha * u * (e - e_eq)) - math.exp(beta * u * (e - e_eq)))

    other = -s["other_i_a_m2"] * math.exp(-s["other_alpha"] * u * (e - s["other_e_v"]))

    f = s["fuel_i_a_m2"] * math.exp(s["fuel_alpha"] * u * (e - s["fuel_e_v"]))
    fuel = limited(f, 0.0, F * s["fuel_km_m_s"] * s["fuel_mol_l"] * 1000.0)
    return metal, proton, other, fuel


def surface(draw: random.Random) -> dict[str, float]:
    """An invented surface."""

    def between(low: float, high: float) -> float:
        return float(f"{draw.uniform(low, high):.4g}")

    def decades(low: float, high: float) -> float:
        return float(f"{10 ** draw.uniform(low, high):.4g}")

    return {
        "temperature_k": between(288, 368),
        "ph": between(2, 13),
        "metal_mol_l": decades(-4, 0),
        "fuel_mol_l": decades(-3, 0),
        "metal_i0_a_m2": decades(-4, 1),
        "metal_e0_v": between(-0.5, 0.4),
        "metal_slope_v_k": between(-0.001, 0.001),
        "metal_alpha": between(0.3, 1.2),
        "metal_beta": between(0.3, 1.5),
        "metal_ref_mol_l": decades(-2, 0),
        "metal_km_m_s": decades(-6, -3),
        "proton_i0_a_m2": decades(-4, 1),
        "proton_alpha": between(0.3, 0.7),
        "proton_beta": between(0.3, 0.7),
        "proton_ref_ph": between(2, 13),
        "other_i_a_m2": decades(-2, 2),
        "other_e_v": between(-0.8, 0.0),
        "other_alpha": between(0.3, 0.8),
        "fuel_i_a_m2": decades(0, 3),
        "fuel_e_v": between(-0.8, 0.0),
        "fuel_alpha": between(0.3, 0.8),
        "fuel_km_m_s": decades(-6, -3),
    }


if __name__ == "__main__":
    script = "shared/reference/mixed_potential_scipy"
    print("# Mixed potentials and partial currents of invented surfaces by scipy.optimize.brentq,")
    print(f"# SciPy {scipy.__version__}: python {script}.py > {script}.csv")
    print("# Its head has the equations. No parameter is of a real surface.")
    print(COLUMNS)
    draw = random.Random(7)
    for _ in range(40):
        s = surface(draw)
        e = brentq(lambda e, s=s: sum(currents(e, s)), -1.8, 1.8, xtol=1e-15, rtol=8.9e-16)
        row = [*s.values(), *(f"{value:.15g}" for value in (e, *currents(e, s)))]
        print(",".join(map(str, row)))
