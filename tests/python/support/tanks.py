"""Tanks with logs. All is invented: readings are what the recipe expects, with some error."""

from __future__ import annotations

from pathlib import Path

RECIPE = """\
# Invented.
format = 1
base = "nickel-acid"
[tank]
drag_out_l_m2 = 0.05
[limits]
phosphorus_wt_pct_max = 13.0
[work]
hours_per_day = 8
[log]
file = "{log}"
"""
HEAD = (
    "timestamp,nickel (g/L),hypophosphite (mol/L),pH,orthophosphite (mol/L),area in tank (dm2),"
    "metal added (L),reductant added (L),ph added (L)"
)
ROWS = [
    "2026-03-02 06:00,5.99,0.296,4.78,,0,0,0,0",
    "2026-03-02 08:00,4.84,0.240,4.63,,200,4.6,3.7,2.72",
    "2026-03-02 10:00,5.06,0.240,4.62,,200,3.8,3.7,2.88",
    "2026-03-02 12:00,4.96,0.232,4.64,,200,4.2,4.3,2.56",
    "2026-03-03 06:00,6.00,0.298,4.83,0.134,0,0,0,0",
    "2026-03-03 08:00,5.07,0.243,4.68,,200,3.7,3.4,1.92",
]
# Nothing was added any more: the bath runs down to 60 % of its nickel.
RUN_DOWN = [
    *ROWS[:-1],
    "2026-03-03 08:00,5.05,0.243,4.68,,200,0,0,0",
    "2026-03-03 10:00,4.25,0.205,4.52,,200,0,0,0",
    "2026-03-03 12:00,3.58,0.170,4.38,,200,0,0,0",
]


def tank(folder: Path, name: str, rows: list[str] = ROWS, head: str = HEAD) -> Path:
    """The recipe of a tank, its log beside it."""
    log = f"{name}.csv"
    (folder / log).write_text("\n".join([head, *rows]) + "\n")
    recipe = folder / f"{name}.toml"
    recipe.write_text(RECIPE.format(log=log))
    return recipe
