"""Mean rate over a linear temperature ramp over the rate at its start: writes tank_ramp.csv.

python3 shared/reference/tank_ramp.py > shared/reference/tank_ramp.csv
"""

import math

import scipy
from scipy.integrate import quad

GAS_CONSTANT = 8.31446261815324e-3  # kJ/(mol K), exact since 2019
ZERO_CELSIUS_K = 273.15


def ratio(part: float, start_k: float, end_k: float, energy: float) -> float:
    """Rate at a part of the ramp over the rate at its start."""
    kelvin = start_k + part * (end_k - start_k)
    return math.exp(-energy / GAS_CONSTANT * (1 / kelvin - 1 / start_k))


print(f"# Computed by tank_ramp.py (SciPy {scipy.__version__}, quad):")
print("# mean of exp(-E/R (1/T - 1/T0)) over a ramp from T0 to T.")
print("# Command: python3 shared/reference/tank_ramp.py > shared/reference/tank_ramp.csv")
print("from_c,to_c,over_h,activation_energy_kj_mol,mean_rate_ratio")
for start, end, hours, kj_mol in ((88, 70, 3, 65), (75, 92, 2, 65), (88, 60, 6, 80)):
    ends = (start + ZERO_CELSIUS_K, end + ZERO_CELSIUS_K)
    mean, _ = quad(ratio, 0, 1, args=(*ends, kj_mol), epsabs=1e-13, epsrel=1e-13)
    print(f"{start},{end},{hours},{kj_mol},{mean:.12f}")
