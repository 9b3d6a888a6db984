"""Writes saturation_phreeqc*.csv: saturation indices by PHREEQC from a database made here.

Run with phreeqpython 1.6.2 installed: python shared/reference/saturation_phreeqc.py
"""

from __future__ import annotations

import csv
import tempfile
from pathlib import Path

from phreeqpython import PhreeqPython

HERE = Path(__file__).parent

# Element, master species, molar mass; Phi stands for orthophosphite, HPO3-2.
MASTERS = {
    "sodium": ("Na", "Na+", 22.99),
    "chloride": ("Cl", "Cl-", 35.45),
    "sulfate": ("S", "SO4-2", 96.06),
    "nitrate": ("N", "NO3-", 62.0),
    "carbonate": ("C", "CO3-2", 60.01),
    "calcium": ("Ca", "Ca+2", 40.08),
    "nickel": ("Ni", "Ni+2", 58.69),
    "copper": ("Cu", "Cu+2", 63.55),
    "silver": ("Ag", "Ag+", 107.87),
    "orthophosphite": ("Phi", "Phi-2", 79.98),
}
# Kind, formula, the program's formula, components, log K of formation at 25 C. A mixed bag of
# strengths, made up for the check: close to the constants in use, and meant to stay as they are.
CONSTANTS = [
    ("species", "OH-", "OH-", "water:1 proton:-1", -13.995),
    ("species", "HCO3-", "HCO3-", "carbonate:1 proton:1", 10.329),
    ("species", "CO2", "CO2", "carbonate:1 proton:2 water:-1", 16.68),
    ("species", "CaCO3", "CaCO3", "calcium:1 carbonate:1", 3.2),
    ("species", "CaSO4", "CaSO4", "calcium:1 sulfate:1", 2.3),
    ("species", "NiSO4", "NiSO4", "nickel:1 sulfate:1", 2.3),
    ("species", "NiOH+", "NiOH+", "nickel:1 water:1 proton:-1", -9.9),
    ("species", "NiHPO3", "NiPhi", "nickel:1 orthophosphite:1", 2.3),
    ("species", "H2PO3-", "HPhi-", "orthophosphite:1 proton:1", 6.7),
    ("species", "CuOH+", "CuOH+", "copper:1 water:1 proton:-1", -7.5),
    ("species", "Cu2(OH)2+2", "Cu2(OH)2+2", "copper:2 water:2 proton:-2", -10.6),
    ("species", "CuCO3", "CuCO3", "copper:1 carbonate:1", 6.77),
    ("species", "CuSO4", "CuSO4", "copper:1 sulfate:1", 2.36),
    ("species", "AgCl", "AgCl", "silver:1 chloride:1", 3.3),
    ("species", "AgCl2-", "AgCl2-", "silver:1 chloride:2", 5.25),
    ("solid", "CaCO3", "CaCO3", "calcium:1 carbonate:1", 8.48),
    ("solid", "NiHPO3.H2O", "NiPhiH2O", "nickel:1 orthophosphite:1 water:1", 4.85),
    ("solid", "Ni(OH)2", "Ni(OH)2", "nickel:1 water:2 proton:-2", -12.794),
    ("solid", "NiCO3", "NiCO3", "nickel:1 carbonate:1", 6.87),
    ("solid", "Cu(OH)2", "Cu(OH)2", "copper:1 water:2 proton:-2", -8.674),
    ("solid", "CuO", "CuO", "copper:1 water:1 proton:-2", -7.644),
    ("solid", "Cu2(OH)2CO3", "Cu2(OH)2CO3", "copper:2 carbonate:1 water:2 proton:-2", 5.18),
    ("solid", "AgCl", "AgCl", "silver:1 chloride:1", 9.75),
    ("solid", "Ag2O", "Ag2O", "silver:2 water:1 proton:-2", -12.574),
]
# Totals, mol per kg of water; the pH follows from electroneutrality.
CASES = {
    "HARD-1": {"calcium": 2e-3, "carbonate": 4e-3, "sodium": 1e-3, "sulfate": 5e-4},
    "HARD-2": {"calcium": 5e-3, "carbonate": 2e-2, "sodium": 2e-2, "chloride": 5e-3},
    "NI-1": {"nickel": 0.01, "sulfate": 0.01},
    "NI-2": {"nickel": 0.1, "sulfate": 0.12, "sodium": 0.045},
    "NIP-1": {"nickel": 0.05, "sulfate": 0.05, "orthophosphite": 0.1, "sodium": 0.12},
    "NIP-2": {"nickel": 0.1, "chloride": 0.2, "orthophosphite": 0.3, "sodium": 0.32},
    "NIC-1": {"nickel": 1e-3, "chloride": 2e-3, "carbonate": 5e-3, "sodium": 7e-3},
    "CU-1": {"copper": 0.01, "sulfate": 0.01},
    "CU-2": {"copper": 0.01, "sulfate": 0.01, "sodium": 3e-3, "carbonate": 2e-3},
    "AG-1": {"silver": 1e-4, "nitrate": 1e-4, "chloride": 1e-3, "sodium": 1e-3},
    "AG-2": {"silver": 1e-2, "nitrate": 1e-2, "sodium": 1e-4},
}
HEAD = """\
# Producer: saturation_phreeqc.py beside this file: PHREEQC 3.7.3 (phreeqpython 1.6.2) with a
# database made of the constants in saturation_phreeqc_constants.csv alone. Ions follow the Davies
# equation (0.3 I, A = 0.5100), neutral species have a coefficient of one, water activity is
# 1 - 0.017 sum m. A program's answer, not a measurement: same constants, same law, same answer.
"""


def reaction(parts: str) -> tuple[str, str]:
    """Left side in the program's master species, and what stands beside the product."""
    names = {name: species for name, (_, species, _) in MASTERS.items()}
    names |= {"proton": "H+", "water": "H2O"}
    terms = [part.split(":") for part in parts.split()]
    left = [f"{count} {names[name]}" for name, count in terms if not count.startswith("-")]
    right = [f"{count[1:]} {names[name]}" for name, count in terms if count.startswith("-")]
    return " + ".join(left), "".join(f" + {term}" for term in right)


def database() -> str:
    """The constants as a database of the program."""
    lines = ["SOLUTION_MASTER_SPECIES", "H H+ -1 H 1.008", "H(0) H2 0 H", "H(1) H+ -1 0"]
    lines += ["E e- 0 0 0", "O H2O 0 O 16.0", "O(0) O2 0 O", "O(-2) H2O 0 0"]
    lines += ["Alkalinity CO3-2 1 CO3-2 50"]
    lines += [f"{element} {species} 0 {mass} {mass}" for element, species, mass in MASTERS.values()]
    lines += ["SOLUTION_SPECIES", "H+ = H+", "log_k 0", "e- = e-", "log_k 0", "H2O = H2O"]
    lines += ["log_k 0", "2 H2O = O2 + 4 H+ + 4 e-", "log_k -86.08"]
    lines += ["2 H+ + 2 e- = H2", "log_k -3.15"]
    for _, species, _ in MASTERS.values():
        lines += [f"{species} = {species}", "log_k 0"]
    for kind, _, formula, parts, log_k in CONSTANTS:
        left, beside = reaction(parts)
        if kind == "species":
            lines += [f"{left} = {formula}{beside}", f"log_k {log_k}"]
            # Without a charge the default is log gamma = 0.1 I.
            lines += [] if formula[-1] in "+-" or formula[-2] in "+-" else ["-gamma 1 0"]
    lines.append("PHASES")
    for number, (kind, _, formula, parts, log_k) in enumerate(CONSTANTS):
        left, beside = reaction(parts)
        if kind == "solid":
            # Phases are written as dissolution.
            lines += [f"Solid{number}", f"{formula}{beside} = {left}", f"log_k {-log_k}"]
    return "\n".join([*lines, "END", ""])


def punched(program: PhreeqPython, totals: dict[str, float], number: int) -> list[float]:
    """Index of a solid, pH, water activity and ionic strength of a solution."""
    lines = ["SOLUTION 1", "units mol/kgw", "temp 25", "pH 7 charge"]
    lines += [f"{MASTERS[name][0]} {total}" for name, total in totals.items()]
    lines += ["SELECTED_OUTPUT 1", "-reset false", "USER_PUNCH 1", "-headings si ph water mu"]
    lines += [f'10 PUNCH SI("Solid{number}"), -LA("H+"), ACT("H2O"), MU', "END"]
    program.ip.run_string("\n".join(lines))
    found: list[float] = program.ip.get_selected_output_array()[-1]
    return found


def main() -> None:
    """Every solid that a case can form."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "own.dat").write_text(database())
        program = PhreeqPython(database="own.dat", database_directory=Path(folder))
    rows: list[list[object]] = []
    for case, totals in CASES.items():
        text = "; ".join(f"{name}={total}" for name, total in totals.items())
        for number, (kind, formula, _, parts, _) in enumerate(CONSTANTS):
            of = {part.split(":")[0] for part in parts.split()} - {"proton", "water"}
            if kind == "solid" and of <= set(totals):
                index, ph, water, strength = punched(program, totals, number)
                numbers = [f"{ph:.5f}", f"{strength:.6f}", f"{water:.6f}", f"{index:.5f}"]
                rows.append([case, text, formula, *numbers])
    header = ["case", "totals_mol_kg", "solid", "ph", "ionic_strength_mol_kg"]
    write("saturation_phreeqc.csv", [*header, "water_activity", "saturation_index"], rows)
    header = ["kind", "formula", "forms_from", "log_k_25c"]
    write("saturation_phreeqc_constants.csv", header, [[k, f, p, g] for k, f, _, p, g in CONSTANTS])


def write(name: str, header: list[str], rows: list[list[object]]) -> None:
    """A CSV file beside this script."""
    with (HERE / name).open("w", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerows([header, *rows])


if __name__ == "__main__":
    main()
