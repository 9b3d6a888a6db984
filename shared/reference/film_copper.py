"""Writes film_copper.csv: an alkaline copper surface behind a film, solved with SciPy.

Run with scipy 1.11 or later installed: python shared/reference/film_copper.py

Written over hydroxide, not protons: components Cu+2, tartrate T-2, methylene glycol M, OH-;
conditional constants (log beta); the balances of the film in logarithms by `fsolve` for a given
rate, the rate by a scan and `brentq`.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from scipy.optimize import brentq, fsolve

HERE = Path(__file__).parent
PKW = 13.9945
WATER_KG_L = 0.9970476
# Molal log beta, (Cu, T, M, OH), diffusion coefficient m2/s.
SPECIES = [
    ("Cu", 0.0, (1, 0, 0, 0), 0.5e-9),
    ("T", 0.0, (0, 1, 0, 0), 0.8e-9),
    ("M", 0.0, (0, 0, 1, 0), 1.4e-9),
    ("OH", 0.0, (0, 0, 0, 1), 5.0e-9),
    ("H", -PKW, (0, 0, 0, -1), 9.31e-9),
    ("M-", PKW - 13.3, (0, 0, 1, 1), 1.1e-9),
    ("HT", PKW - 13.995 - 9.75, (0, 1, 0, -1), 0.8e-9),
    ("CuT", 3.0, (1, 1, 0, 0), 0.5e-9),
    ("CuT2", 5.1, (1, 2, 0, 0), 0.5e-9),
    ("CuTOH", 10.0, (1, 1, 0, 1), 0.5e-9),
    ("CuT2OH", 13.0, (1, 2, 0, 1), 0.5e-9),
    ("CuT(OH)2", 17.5, (1, 1, 0, 2), 0.5e-9),
    ("Cu2T2(OH)2", 26.8, (2, 2, 0, 2), 0.5e-9),
    ("CuT2(OH)2", 20.0, (1, 2, 0, 2), 0.5e-9),
    ("Cu(OH)3", 15.0, (1, 0, 0, 3), 0.5e-9),
    ("Cu(OH)4", 15.8, (1, 0, 0, 4), 0.5e-9),
]
LOG_BETA = np.array([row[1] for row in SPECIES])
NU = np.array([row[2] for row in SPECIES], float)
D = np.array([row[3] for row in SPECIES])
USED = np.array([1.0, 0.0, 2.0, 4.0])
# 3.6e9 um/h per m/s; 63.546 g/mol, 8.96 g/cm3.
UM_H = 63.546 / 8.96e6 * 3.6e9

CASES = {
    "S1": (0.04, 0.16, 0.15, 2, 8, 1.04e-2, 100),
    "S1-quiet": (0.04, 0.16, 0.15, 2, 8, 1.04e-2, 300),
    "S2": (0.10, 0.30, 0.30, 2, 100, 0.135, 300),
    "S2-stirred": (0.10, 0.30, 0.30, 2, 100, 0.135, 100),
    "S3": (0.15, 0.5, 0.4, 2, 200, 0.197, 300),
    "strong-blocking": (0.15, 0.5, 0.4, 4, 200, 0.46, 300),
}


def concentrations(ln_free):
    """mol/L of every species."""
    return WATER_KG_L * np.exp(np.log(10) * LOG_BETA + NU @ ln_free)


def bath(copper, tartrate, glycol, ph):
    """Logarithms of the free molalities in the bath."""
    totals = np.array([copper, tartrate, glycol])
    ln_oh = np.log(10) * (ph - PKW)

    def residual(ln):
        c = concentrations(np.append(ln, ln_oh))
        return np.log(NU[:, :3].T @ c / totals)

    start = np.log([copper * 1e-14, tartrate / 2, glycol / 2])
    ln, _, ok, message = fsolve(residual, start, full_output=True, xtol=1e-13)
    assert ok == 1 or np.abs(residual(ln)).max() < 1e-10, message
    return np.append(ln, ln_oh)


def states(copper, tartrate, glycol, n, adsorption, k, delta_um, ph):
    """Rate um/h, surface pH and surface copper mol/L of every steady state."""
    ln_bath = bath(copper, tartrate, glycol, ph)
    c_bath = concentrations(ln_bath)
    transfer = 1e3 * 0.5e-9 / (delta_um * 1e-6) * (D / 0.5e-9) ** (2 / 3)
    supply = NU.T @ (transfer * c_bath)
    scale = np.abs(NU).T @ (transfer * c_bath)
    ceiling = min(supply[0], supply[2] / 2)

    def surface(rate, start):
        def residual(ln):
            return (NU.T @ (transfer * concentrations(ln)) - supply + USED * rate) / scale

        ln = start
        for _ in range(5):
            ln = fsolve(residual, ln, xtol=1e-14)
        return ln, np.abs(residual(ln)).max()

    def law(ln):
        c = concentrations(ln)
        cu = NU[:, 0] @ c
        return k * c[5] * (1 + adsorption * c[3]) ** -n * cu / (cu + 0.002)

    grid = ceiling * np.linspace(0, 0.9995, 1500)
    ln = ln_bath
    path = []
    for rate in grid:
        ln, off = surface(rate, ln)
        if off > 1e-9:
            break
        path.append((rate, ln))
    f = [law(ln) - rate for rate, ln in path]
    found = []
    for (low, start), (high, _), a, b in zip(path, path[1:], f, f[1:], strict=False):
        if (a > 0) != (b > 0):
            root = brentq(
                lambda r, s=start: law(surface(r, s)[0]) - r, low, high, xtol=1e-16, rtol=1e-12
            )
            ln, off = surface(root, start)
            assert off < 1e-9
            c = concentrations(ln)
            found.append((root * UM_H, PKW + ln[3] / np.log(10), NU[:, 0] @ c))
    return found


def main():
    """Writes the file."""
    with (HERE / "film_copper.csv").open("w", newline="") as file:
        file.write(
            "# Computed by film_copper.py (SciPy): copper tartrate behind a film,\n"
            "# every steady state, slowest first.\n"
        )
        file.write(
            "# Law r = k [M-] (1 + K [OH-])^-n Cu/(Cu + 0.002), k mol/(m2 s) per mol/L, K L/mol.\n"
        )
        file.write(
            "# pH = -log10 of the concentration, mol/kg. The rate parameters are invented:\n"
            "# this checks the computation.\n"
        )
        table = csv.writer(file, lineterminator="\n")
        table.writerow(
            [
                "case",
                "copper_mol_l",
                "tartrate_mol_l",
                "formaldehyde_mol_l",
                "n",
                "adsorption_l_mol",
                "k",
                "thickness_um",
                "ph",
                "state",
                "of",
                "deposition_um_h",
                "surface_ph",
                "surface_copper_mol_l",
            ]
        )
        for name, case in CASES.items():
            phs = (
                [12.425]
                if name == "strong-blocking"
                else [9.6, 11.0, 12.0, 12.4, 12.6, 12.8, 13.0, 13.4]
            )
            for ph in phs:
                found = states(*case, ph)
                for number, (rate, surface_ph, cu) in enumerate(found, 1):
                    values = (f"{rate:.6g}", f"{surface_ph:.5f}", f"{cu:.6g}")
                    table.writerow([name, *case, ph, number, len(found), *values])


if __name__ == "__main__":
    main()
