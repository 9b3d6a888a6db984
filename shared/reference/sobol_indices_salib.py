"""Writes `sobol_indices_salib.csv`: Ishigami's function at SALib's own sample, and its indices.

pip install SALib==1.6.0; python shared/reference/sobol_indices_salib.py
"""

from pathlib import Path

import numpy as np
from SALib.analyze import sobol as analysis
from SALib.sample import sobol as sampling

problem = {"num_vars": 3, "names": ["x1", "x2", "x3"], "bounds": [[-np.pi, np.pi]] * 3}
x = sampling.sample(problem, 64, calc_second_order=False, seed=4)
y = np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])
# Far from zero, so that an estimator that does not centre its answers is seen.
y = y + 100.0
found = analysis.analyze(problem, y, calc_second_order=False, seed=4)
lines = [
    "# Ishigami's function (a = 7, b = 0.1) plus 100 at a sample of SALib 1.6.0 (64 points:",
    "# A, AB1, AB2, AB3, B of each), and the indices that SALib finds: sobol_indices_salib.py",
    f"# first = {' '.join(repr(float(one)) for one in found['S1'])}",
    f"# total = {' '.join(repr(float(one)) for one in found['ST'])}",
    "answer",
    *(repr(float(one)) for one in y),
]
Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n")
