"""Writes censored_mpmath.csv: residual of an observation below a detection limit, to 40 digits.

r = sqrt(-2 ln Phi(z)) and dr/dz = -phi(z)/Phi(z)/r.
Run with mpmath 1.4.1 installed: python shared/reference/censored_mpmath.py
"""

from pathlib import Path

from mpmath import erfc, exp, log, mp, mpf, nstr, pi, sqrt

mp.dps = 250
Z = "-300 -30 -20.5 -12 -8 -5.001 -4.999 -3 -1 -0.1 0 0.1 1 2 3 4.999 5.001 8 12 20.5 30"


def main():
    """Write the table."""
    lines = [
        "# r = sqrt(-2 ln Phi(z)) and dr/dz by mpmath 1.4.1; producer censored_mpmath.py.",
        "z,r,slope",
    ]
    for word in Z.split():
        z = mpf(word)
        # From the smaller tail, or log would lose it.
        upper = erfc(z / sqrt(mpf(2))) / 2
        ln_phi = log(1 - upper) if z > 0 else log(erfc(-z / sqrt(mpf(2))) / 2)
        r = sqrt(-2 * ln_phi)
        slope = -exp(-z * z / 2) / sqrt(2 * pi) / exp(ln_phi) / r
        lines.append(f"{word},{nstr(r, 20)},{nstr(slope, 20)}")
    Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
