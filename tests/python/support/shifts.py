"""A bath with the sums of its shifts. All is invented.

60 L of nickel-acid with little buffer, whose pH a pump holds at 4.80, worked without a break; the
readings are those of `shifts` in tests/rust/support/dosed.rs, rounded.
"""

RECIPE = """\
# Invented.
format = 1
base = "nickel-acid"
[tank]
volume_l = 60
drag_out_l_m2 = 0
[make_up]
lactic_acid_g_l = 10
acetic_acid_g_l = 1
[log]
file = "shifts.csv"
"""
HEAD = (
    "timestamp,nickel (g/L),hypophosphite (mol/L),pH,area in tank (dm2),"
    "metal added (L),reductant added (L),ph added (L)\n"
)
ROWS = """\
2026-03-02 06:00,6.000,0.283,4.80,0,0,0,0
2026-03-02 14:00,5.786,0.262,4.80,15,1.32,1.12,0.962
2026-03-02 22:00,5.630,0.244,4.80,15,1.32,1.12,0.951
2026-03-03 06:00,5.533,0.229,4.80,15,1.32,1.12,0.940
2026-03-03 14:00,5.494,0.217,4.80,15,1.32,1.12,0.929
"""


def without_corrector(rows: str) -> str:
    """The same rows, where nobody wrote down what the pump took."""
    return "".join(line.rpartition(",")[0] + "\n" for line in rows.splitlines())
