"""Writes least_squares_scipy.csv: bounded, robust and weighted fits of one small table by SciPy.

y = a exp(-b t) + c to invented data with two outliers.
Run with scipy 1.17.1 installed: python shared/reference/least_squares_scipy.py
"""

from pathlib import Path

import numpy as np
from scipy.optimize import curve_fit, least_squares

T = np.arange(0.0, 12.0, 1.0)
# a = 4, b = 0.35, c = 1, an invented scatter of about 0.05, and outliers at t = 3 and t = 8.
SCATTER = np.array([0.03, -0.06, 0.05, 1.20, -0.04, 0.01, 0.07, -0.02, -0.90, 0.04, -0.05, 0.02])
Y = np.round(4.0 * np.exp(-0.35 * T) + 1.0 + SCATTER, 4)
SIGMA = 0.05 * (1.0 + T / 4.0)
START = np.array([2.0, 1.0, 0.5])
FREE = [(-np.inf, -np.inf, -np.inf), (np.inf, np.inf, np.inf)]


def model(t, a, b, c):
    """Return the curve."""
    return a * np.exp(-b * t) + c


def jacobian(p):
    """Return its derivatives by a, b, c, by rows."""
    a, b, _ = p
    return np.column_stack([np.exp(-b * T), -a * T * np.exp(-b * T), np.ones_like(T)])


def fit(loss, bounds, method):
    """Fit with a loss within bounds, to rounding."""
    return least_squares(
        lambda p: model(T, *p) - Y,
        START,
        jac=jacobian,
        bounds=bounds,
        loss=loss,
        f_scale=0.1,
        method=method,
        x_scale="jac",
        ftol=1e-15,
        xtol=1e-15,
        gtol=1e-15,
        max_nfev=10000,
    )


def main():
    """Write the table."""
    lines = [
        "# Fits of y = a exp(-b t) + c by scipy 1.17.1; producer least_squares_scipy.py.",
        "# Data invented. loss with f_scale 0.1.",
        "# curve_fit rows: sigma = 0.05 (1 + t/4), standard errors from pcov.",
        "# t = " + " ".join(f"{t:g}" for t in T),
        "# y = " + " ".join(f"{y:g}" for y in Y),
        "case,loss,lower_b,upper_a,a,b,c,cost,se_a,se_b,se_c,correlation_a_b",
    ]
    tight = [(-np.inf, 0.5, -np.inf), (3.9, np.inf, np.inf)]
    upper = [(-np.inf, -np.inf, -np.inf), (3.9, np.inf, np.inf)]
    for name, bounds in (("free", FREE), ("upper_a", upper), ("both", tight)):
        for loss in ("linear", "soft_l1", "huber", "cauchy"):
            found = fit(loss, bounds, "trf" if name == "free" else "dogbox")
            numbers = [bounds[0][1], bounds[1][0], *found.x, found.cost]
            lines.append(f"{name},{loss}," + ",".join(f"{v:.12g}" for v in numbers) + ",,,,")
    for name, absolute in (("curve_fit_absolute", True), ("curve_fit_relative", False)):
        p, c = curve_fit(model, T, Y, START, SIGMA, absolute, ftol=1e-15, xtol=1e-15, gtol=1e-15)
        se = np.sqrt(np.diag(c))
        numbers = [
            *p,
            0.5 * np.sum(((model(T, *p) - Y) / SIGMA) ** 2),
            *se,
            c[0, 1] / se[0] / se[1],
        ]
        lines.append(f"{name},linear,-inf,inf," + ",".join(f"{v:.12g}" for v in numbers))
    Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
