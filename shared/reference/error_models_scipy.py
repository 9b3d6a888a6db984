"""Writes error_models_scipy.csv: maximum likelihood by SciPy, of errors and below a limit.

mixed: a, b of sigma^2 = a^2 + (b y)^2 about known y.
censored: a line through observations with sigma 0.2, those below 0.5 known only to be below.
Run with scipy 1.17.1 installed: python shared/reference/error_models_scipy.py
"""

from pathlib import Path

import numpy as np
from scipy.optimize import minimize
from scipy.special import log_ndtr

# Invented.
Y = np.array([0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 30.0, 50.0, 70.0, 90.0, 110.0, 130.0])
ERROR = np.array([0.21, -0.34, 0.18, 0.4, -0.29, 0.9, -1.1, 2.4, -2.2, 4.9, -6.1, 5.2])
X = np.array([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0])
FOUND = np.array([2.1, 1.72, 1.5, 1.08, 0.77, np.nan, 0.52, np.nan])
SIGMA, LIMIT = 0.2, 0.5


def least(function, start):
    """Return the minimum by the simplex and then by gradients, to rounding."""
    rough = minimize(
        function, start, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-14}
    )
    return minimize(function, rough.x, method="BFGS", options={"gtol": 1e-10})


def mixed(p):
    """Return -ln L of ln a, ln b."""
    variance = np.exp(2 * p[0]) + np.exp(2 * p[1]) * Y**2
    return 0.5 * np.sum(np.log(2 * np.pi * variance) + ERROR**2 / variance)


def censored(p):
    """Return chi-squared with -2 ln Phi for rows below the limit."""
    y = p[0] + p[1] * X
    below = np.isnan(FOUND)
    seen = np.sum(((y - FOUND)[~below] / SIGMA) ** 2)
    return seen - 2 * np.sum(log_ndtr((LIMIT - y[below]) / SIGMA))


def main():
    """Write the table."""
    lines = [
        "# Maximum likelihood by scipy 1.17.1; producer error_models_scipy.py.",
        "# Data invented; mixed: ln L at a, b; censored: chi-squared at intercept, slope.",
        "# y = " + " ".join(f"{v:g}" for v in Y),
        "# error = " + " ".join(f"{v:g}" for v in ERROR),
        "# x = " + " ".join(f"{v:g}" for v in X),
        "# found = " + " ".join(f"{v:g}" for v in FOUND),
        "case,first,second,objective",
    ]
    best = least(mixed, [-1.0, -3.0])
    lines.append(f"mixed,{np.exp(best.x[0]):.12g},{np.exp(best.x[1]):.12g},{-best.fun:.12g}")
    best = least(censored, [2.0, -0.3])
    lines.append(f"censored,{best.x[0]:.12g},{best.x[1]:.12g},{best.fun:.12g}")
    Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
