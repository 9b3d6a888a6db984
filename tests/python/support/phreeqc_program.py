"""The program the equilibrium is compared with, and baths small enough to give both.

Totals are what both are given: the face takes grams per litre and tells moles per litre, the
program takes moles per kilogram of water. With every apparent volume at zero a litre holds the
water of a litre of water, so that the two differ by one factor.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path

import bathkin as bk
import pytest
from bathkin.recipe.constants import SpeciesConstant

from support import ROOT

phreeqpython = pytest.importorskip(
    "phreeqpython", reason="phreeqpython is not installed: pip install 'phreeqpython>=1.6'"
)

# Density of water at 25 degC, IAPWS (kg/L).
WATER_KG_L = 0.997047
ZERO_CELSIUS_K = 273.15
# A recipe wants a metal and a reductant: so little of them that nothing feels it.
TRACE_G_L = 1e-9

# Components by what the program calls them: element, master species. A letter of its own stands
# for an organic anion, whose atoms the program need not know.
MASTERS = {
    "sodium": ("Na", "Na+"),
    "potassium": ("K", "K+"),
    "chloride": ("Cl", "Cl-"),
    "sulfate": ("S", "SO4-2"),
    "phosphate": ("P", "PO4-3"),
    "carbonate": ("C", "CO3-2"),
    "ammonia": ("N", "NH3"),
    "nickel": ("Ni", "Ni+2"),
    "copper": ("Cu", "Cu+2"),
    "palladium": ("Pd", "Pd+2"),
    "lactate": ("Lactate", "Lactate-"),
    "acetate": ("Acetate", "Acetate-"),
    "citrate": ("Citrate", "Citrate-3"),
    "hypophosphite": ("Hypo", "Hypo-"),
    "orthophosphite": ("Phosphite", "Phosphite-2"),
}
# Elements of the shipped databases.
ELEMENTS = {"carbonate": "C(4)", "ammonia": "N(-3)", "sulfate": "S(6)"}

# Elements the program knows by themselves.
REAL = {"Na", "K", "Cl", "S", "P", "C", "N", "Ni", "Cu", "Pd"}
VOLUMES = [*MASTERS, "hydroxide"]


def small_bath(
    tmp_path: Path, activity: str, make_up_g_l: dict[str, float], constants: str = ""
) -> bk.Bath:
    """A bath at 25 degC of the given reagents, its pH an outcome.

    Everything but the liquid is that of the textbook nickel recipe.
    """
    text = (ROOT / "crates/bathkin/data/recipes/nickel-textbook.toml").read_text()
    for section in ("operation", "solution", "make_up"):
        text = re.sub(rf"(?ms)^\[{section}\]$.*?(?=^\[)", "", text)
    # The acid ones would deposit more phosphorus than the scale of densities knows.
    text = text.replace('density_scale = "area-table"', "density_g_cm3 = 8")
    # Of traces a negative order says nothing: what the alloy depends on goes, whatever its law.
    text, left_out = re.subn(r"(?ms)^\[phosphorus\.[\w.]+\]$.*?(?=^\[)", "", text)
    assert left_out > 0
    amounts = {
        "nickel_chloride_hexahydrate": TRACE_G_L,
        "sodium_hypophosphite_monohydrate": TRACE_G_L,
        **make_up_g_l,
    }
    sections = [
        "[operation]\ntemperature_c = 25\nph_reagent = 'sodium_hydroxide'",
        f"[solution]\nactivity = '{activity}'",
        "davies_held_above_mol_l = 100" if activity == "davies" else "",
        "[make_up]",
        *(f"{name}_g_l = {amount!r}" for name, amount in amounts.items()),
        *(f"[volumes.{name}]\na_cm3_mol = 0\nb_cm3_kg05_mol15 = 0" for name in VOLUMES),
        constants,
    ]
    path = tmp_path / "bath.toml"
    path.write_text(text + "\n" + "\n".join(sections) + "\n")
    return bk.load_recipe(path).make_up()


def molalities(bath: bk.Bath) -> dict[str, float]:
    """Totals of the bath in mol/kg of water, without what is not there."""
    return {name: total / WATER_KG_L for name, total in bath.totals().items() if total > 0.0}


@dataclass(frozen=True)
class Answer:
    """What the program says of a solution; molalities and activities by its species."""

    ph: float
    ionic_strength_mol_kg: float
    molality: dict[str, float]
    activity: dict[str, float]
    water_activity: float


class Program:
    """The program with a database, from its folder or from a text."""

    def __init__(self, database: str | None = None, text: str | None = None) -> None:
        self._ip = phreeqpython.PhreeqPython(database=database or "phreeqc.dat").ip
        self.elements = ELEMENTS
        if text is not None:
            self._ip.load_database_string(text)
            self.elements = {name: element for name, (element, _) in MASTERS.items()}

    def solve(self, totals_mol_kg: dict[str, float], species: list[str]) -> Answer:
        """Solves for the totals at 25 degC, the pH closing the charges."""
        amounts = "\n".join(
            f"{self.elements.get(name, MASTERS[name][0])} {total!r}"
            for name, total in totals_mol_kg.items()
        )
        # The binding's own get_activity('H2O') gives 1e-30; the program punches the right one.
        names = ["H+", *species]
        punched = [part for name in names for part in (f'MOL("{name}")', f'ACT("{name}")')]
        self._ip.run_string(
            "SELECTED_OUTPUT 1\n-reset false\n-high_precision true\nUSER_PUNCH 1\n-start\n"
            '10 PUNCH -LA("H+"), MU, ACT("H2O")\n'
            f"20 PUNCH {', '.join(punched)}\n-end\n"
            f"SOLUTION 1\nunits mol/kgw\ntemp 25\npH 7 charge\n{amounts}\nEND\n"
        )
        values = self._ip.get_selected_output_array()[-1]
        ph, strength, water = values[:3]
        molality = dict(zip(names, values[3::2], strict=True))
        activity = dict(zip(names, values[4::2], strict=True))
        return Answer(ph, strength, molality, activity, water)


def database_of(recipe: bk.Recipe) -> str:
    """A database with a recipe's constants, Davies for ions and nothing for neutral species."""
    lines = ["SOLUTION_MASTER_SPECIES", "H H+ -1 H 1.008", "H(0) H2 0 H", "H(1) H+ -1 0"]
    lines += ["E e- 0 0 0", "O H2O 0 O 16.0", "O(0) O2 0 O", "O(-2) H2O 0 0"]
    lines += [f"{element} {master} 0 1 1" for element, master in MASTERS.values()]
    lines += ["SOLUTION_SPECIES", "H+ = H+", "e- = e-", "H2O = H2O"]
    for _, master in MASTERS.values():
        lines += [f"{master} = {master}", *neutral(master)]
    lines += ["2 H2O = O2 + 4 H+ + 4 e-", "log_k -85.98", *neutral("O2")]
    lines += ["2 H+ + 2 e- = H2", "log_k -3.15", *neutral("H2")]
    for one in recipe.constants():
        name = program_name(one)
        left = [f"{count:g} {term}" for term, count in sides(one) if count > 0.0]
        right = [f"{-count:g} {term}" for term, count in sides(one) if count < 0.0]
        lines += [f"{' + '.join(left)} = {' + '.join([name, *right])}"]
        lines += [f"log_k {one.log_k_25c!r}", *neutral(name)]
    return "\n".join([*lines, "END"])


def neutral(formula: str) -> list[str]:
    """The program gives a neutral species log gamma = 0.1 I unless told otherwise."""
    return [] if re.search(r"[+-]", formula) else ["-gamma 0 0"]


def sides(one: SpeciesConstant) -> list[tuple[str, float]]:
    """The program's terms of a formation reaction."""
    solvent = {"proton": "H+", "water": "H2O"}
    return [
        (solvent.get(name) or MASTERS[name][1], count) for name, count in one.forms_from.items()
    ]


def program_name(one: SpeciesConstant) -> str:
    """The program's formula of a species: components, protons and water put together."""
    counts = one.forms_from
    elements = {MASTERS[name][0]: count for name, count in counts.items() if name in MASTERS}
    if elements.keys() <= REAL:
        return one.formula
    water = counts.get("water", 0.0)
    elements |= {"H": counts.get("proton", 0.0) + 2.0 * water, "O": water}
    body = "".join(f"({name}){count:g}" for name, count in elements.items() if count)
    charge = re.search(r"[+-]\d*$", one.formula)
    return body + (charge.group() if charge else "")


def log_k_in(database: str, reaction: str) -> float:
    """log10 K at 25 degC of a reaction as it stands in a shipped database.

    An analytical expression goes before a log_k, as in the program.
    """
    path = Path(phreeqpython.__file__).parent / "database" / database
    lines = [line.split("#")[0].strip() for line in path.read_text(errors="replace").splitlines()]
    log_k = None
    for line in lines[lines.index(reaction) + 1 :]:
        word, *numbers = line.lower().split() or [""]
        if "=" in line:
            break
        if word in {"log_k", "-log_k"}:
            log_k = float(numbers[0])
        if word.startswith(("-analytic", "analytic")):
            return analytical([float(number) for number in numbers])
    assert log_k is not None, f"{database} has no log_k for {reaction}"
    return log_k


def analytical(a: list[float]) -> float:
    """A1 + A2 T + A3/T + A4 log10 T + A5/T2 + A6 T2 at 25 degC."""
    kelvin = 25.0 + ZERO_CELSIUS_K
    terms = [1.0, kelvin, 1.0 / kelvin, math.log10(kelvin), kelvin**-2, kelvin**2]
    return sum(coefficient * term for coefficient, term in zip(a, terms, strict=False))
