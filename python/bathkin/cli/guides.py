"""What the help of each command begins with: two examples or three, and the options most used.

`runs.csv`, `log.csv`, `line.toml` ... stand for files of one's own.
"""

from __future__ import annotations

from typing import NamedTuple


class Guide(NamedTuple):
    """The beginning of a command's help.

    Attributes:
        examples: Commands without `bathkin`.
        most_used: Options.
    """

    examples: tuple[str, ...]
    most_used: tuple[str, ...] = ()


GUIDES = {
    "recipes": Guide(("recipes", "recipes --json")),
    "reagents": Guide(
        ("reagents hypophosphite", "reagents --recipe copper-tartrate"), ("--recipe",)
    ),
    "substrates": Guide(("substrates", "substrates nickel-acid")),
    "show": Guide(
        ("show nickel-acid", "show nickel-acid --equations"),
        ("--equations", "--constants", "--parameters", "--quantities"),
    ),
    "solution": Guide(
        (
            "solution nickel-acid --over-ph 2:8 --plot over-ph.png",
            "solution nickel-acid --to-ph 5.2 --with ammonia",
        ),
        ("--over-ph", "--to-ph", "--set", "--plot"),
    ),
    "rate": Guide(
        (
            "rate nickel-acid --vary operation.ph=4.4:5.2:5 --plot ph.png",
            "rate nickel-mixed-potential --polarisation -0.9:-0.4 --reference SCE --plot i.png",
        ),
        ("--vary", "--set", "--plot", "--csv"),
    ),
    "plate": Guide(
        (
            "plate nickel-acid --minutes 60 --area-dm2 20",
            "plate nickel-acid --substrate copper --activation contact --plot load.png",
        ),
        ("--minutes", "--area-dm2", "--substrate", "--plot"),
    ),
    "life": Guide(
        (
            "life nickel-acid --plot life.png",
            'life nickel-acid --start "2026-03-02 06:00" --report life.html',
        ),
        ("--plot", "--set", "--start", "--csv"),
    ),
    "plan": Guide(
        (
            "plan nickel-acid --now nickel_g_l=5.6 --now ph=4.7 --round-ml 50",
            'plan line.toml --from log.csv --start "2026-03-02 06:00" --report shift.pdf',
        ),
        ("--now", "--from", "--round-ml", "--report"),
    ),
    "today": Guide(
        (
            "today nickel-acid log.csv --plot today.png",
            "today line.toml march.csv april.csv",
            "today line-1.toml line-2.toml",
        ),
        ("--now", "--accept", "--report", "--plot"),
    ),
    "backtest": Guide(
        (
            "backtest nickel-acid log.csv --dumped 2026-03-20",
            "backtest line.toml log.csv --rows 20 --rows 40 --last-bath-h 380",
        ),
        ("--dumped", "--rows", "--last-bath-h", "--members"),
    ),
    "compare": Guide(
        (
            "compare nickel-acid --plot compare.png",
            "compare nickel-acid --bleed-for orthophosphite_mol_l",
        ),
        ("--bleed-for", "--strategy", "--plot", "--set"),
    ),
    "ensemble": Guide(
        (
            'ensemble nickel-acid --draw "operation.ph=normal(4.8, 0.05)" --members 200',
            "ensemble nickel-acid --vary operation.ph=4.6:5:5 --output dump.plating_h --csv a.csv",
        ),
        ("--draw", "--members", "--output", "--plot"),
    ),
    "sensitivity": Guide(
        (
            'sensitivity nickel-acid --draw "operation.ph=uniform(4.6, 5)" --points 64',
            'sensitivity nickel-acid --draw "operation.ph=uniform(4.6, 5)" --method morris',
        ),
        ("--draw", "--output", "--method", "--plot"),
    ),
    "optimise": Guide(
        (
            "optimise nickel-acid --vary operation.ph=4.4:5.2 --least dump.cost_per_m2",
            "optimise nickel-acid --vary operation.ph=4.4:5.2 --most dump.plating_h"
            ' --limit "end.deposition_um_h>=12" --write best.toml',
        ),
        ("--vary", "--least", "--most", "--limit"),
    ),
    "trade-off": Guide(
        (
            "trade-off nickel-acid --vary operation.ph=4.4:5.2 --vary limits.turnovers=2:8"
            " --least dump.cost_per_m2 --most end.deposition_um_h",
            "trade-off nickel-acid --vary limits.turnovers=2:8 --least dump.cost_per_m2"
            " --most end.deposition_um_h --plot curve.png",
        ),
        ("--vary", "--least", "--most", "--plot"),
    ),
    "arrhenius": Guide(
        ("arrhenius rates.csv", 'arrhenius rates.csv --at "88 degC" --plot line.png'),
        ("--at", "--plot"),
    ),
    "fit": Guide(
        (
            "fit nickel-acid runs.csv --free deposition.activation_energy_kj_mol --plot fit.png",
            "fit nickel-acid --log log.csv --free deposition.rate_mol_m2_s --write fitted.toml",
        ),
        ("--free", "--log", "--drop", "--write"),
    ),
    "design": Guide(
        (
            "design nickel-acid runs.csv --free deposition.activation_energy_kj_mol"
            " --candidates temperature_c=70:95:6 --count 3",
            "design nickel-acid runs.csv --free deposition.ph_order --candidates ph=4.4,4.8,5.2",
        ),
        ("--free", "--candidates", "--count", "--aim"),
    ),
    "forecast": Guide(
        (
            "forecast nickel-acid log.csv --plot dump.png",
            'forecast nickel-acid log.csv --made-up "2026-03-02 07:00"',
        ),
        ("--free", "--made-up", "--count", "--plot"),
    ),
    "new": Guide(
        ("new mine.toml", "new mine.toml --from answers.xlsx"),
        ("--from", "--sheet", "--metal", "--volume"),
    ),
    "log check": Guide(
        ("log check line.toml log.csv", "log check line.toml log.csv --write-map columns.toml"),
        ("--write-map", "--sheet", "--set", "--json"),
    ),
    "log new": Guide(
        ("log new nickel-acid --out sheet.xlsx", "log new line.toml --out sheet.csv"),
        ("--out", "--set"),
    ),
    "again": Guide(("again life.json", "again life.json --json")),
    "doctor": Guide(("doctor", "doctor --json")),
}
