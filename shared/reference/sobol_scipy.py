"""Writes `sobol_scipy.csv`: points of Sobol's sequence by scipy.stats.qmc.Sobol (SciPy 1.17.1).

python shared/reference/sobol_scipy.py
"""

from pathlib import Path

from scipy.stats import qmc

points = qmc.Sobol(512, scramble=False).random(4096)
lines = [
    "# Points of Sobol's sequence, not scrambled, by scipy.stats.qmc.Sobol (SciPy 1.17.1):",
    "# sobol_scipy.py",
    "point,dimension,value",
]
for number in (0, 1, 2, 3, 5, 10, 100, 1000, 1023, 2047, 4095):
    for dimension in [*range(40), *range(40, 512, 7), 511]:
        lines.append(f"{number},{dimension},{float(points[number, dimension])!r}")
far = qmc.Sobol(4, scramble=False)
far.fast_forward(1_000_000)
for dimension, value in enumerate(far.random(1)[0]):
    lines.append(f"1000000,{dimension},{float(value)!r}")
Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n")
