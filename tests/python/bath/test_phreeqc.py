"""The equilibrium against PHREEQC, run beside it: the same constants and totals, at 25 degC.

The program is that of phreeqpython; without the package these tests are skipped.
"""

from __future__ import annotations

from pathlib import Path

import bathkin as bk
import pytest
from support.phreeqc_program import (
    MASTERS,
    WATER_KG_L,
    Program,
    database_of,
    log_k_in,
    molalities,
    small_bath,
)

# Reagents, g/L; named by what they show. pH 3 to 11.5, ionic strength 0.01 to 0.5 mol/L.
SOLUTIONS = {
    "phosphate, acid": {"potassium_dihydrogen_phosphate": 6.8, "hydrochloric_acid": 0.9},
    "phosphate, neutral": {
        "potassium_dihydrogen_phosphate": 3.4,
        "disodium_hydrogen_phosphate_anhydrous": 3.55,
    },
    "phosphate, dilute": {
        "potassium_dihydrogen_phosphate": 0.4,
        "disodium_hydrogen_phosphate_anhydrous": 0.4,
    },
    "phosphate, strong": {
        "potassium_dihydrogen_phosphate": 3.0,
        "disodium_hydrogen_phosphate_anhydrous": 19.0,
    },
    "phosphate, alkaline": {"disodium_hydrogen_phosphate_anhydrous": 7.1, "sodium_hydroxide": 0.5},
    "carbonate": {"sodium_bicarbonate": 2.1, "sodium_carbonate_anhydrous": 2.65},
    "carbonate, alkaline": {"sodium_carbonate_anhydrous": 10.6},
    "carbonate with salt": {
        "sodium_bicarbonate": 2.1,
        "sodium_carbonate_anhydrous": 2.1,
        "sodium_chloride": 20.0,
    },
    "carbonic acid": {"sodium_bicarbonate": 3.0, "hydrochloric_acid": 1.0},
    "ammonia": {"ammonium_chloride": 5.3, "ammonia": 1.7},
    "ammonium phosphate": {"potassium_dihydrogen_phosphate": 6.8, "ammonia": 0.8},
    "all three": {
        "disodium_hydrogen_phosphate_anhydrous": 5.0,
        "sodium_bicarbonate": 3.0,
        "ammonium_chloride": 3.0,
    },
}
ORGANIC = {
    "acetate": {"acetic_acid": 6.0, "sodium_acetate_anhydrous": 8.2},
    "nickel acetate": {
        "nickel_chloride_hexahydrate": 12.0,
        "sodium_acetate_anhydrous": 16.0,
        "acetic_acid": 3.0,
    },
    "nickel citrate": {
        "nickel_chloride_hexahydrate": 12.0,
        "trisodium_citrate_dihydrate": 15.0,
        "hydrochloric_acid": 1.0,
    },
    "nickel ammonia": {
        "nickel_chloride_hexahydrate": 6.0,
        "ammonia": 6.0,
        "ammonium_chloride": 10.0,
    },
    "nickel lactate": {
        "nickel_chloride_hexahydrate": 12.0,
        "lactic_acid": 18.0,
        "sodium_hydroxide": 7.0,
    },
    "copper ammonia": {
        "copper_sulfate_pentahydrate": 2.5,
        "ammonia": 6.0,
        "ammonium_chloride": 10.0,
    },
    "palladium ammonia": {
        "tetraamminepalladium_chloride_monohydrate": 2.6,
        "ammonium_chloride": 10.0,
        "hydrochloric_acid": 3.0,
    },
}


def free_ions(bath: bk.Bath) -> dict[str, float]:
    """Free components above a trace, mol/kg, by the program's name."""
    names = {name: master for name, (_, master) in MASTERS.items()}
    present = {name: total for name, total in bath.totals().items() if total > 1e-6}
    return {names[name]: bath.species()[name] / WATER_KG_L for name in present}


@pytest.mark.parametrize("name", [*SOLUTIONS, *ORGANIC])
def test_our_constants_in_the_program(tmp_path: Path, name: str) -> None:
    """Producer: PHREEQC with a database written from our constants, Davies on both sides.

    pH 0.005, free ions 2 %, ionic strength 0.5 %; reached: 0.002 (nickel acetate,
    hardly buffered; 2e-4 else), 0.2 %, 0.02 %.
    """
    bath = small_bath(tmp_path, "davies", {**SOLUTIONS, **ORGANIC}[name])
    ours = free_ions(bath)
    theirs = Program(text=database_of(bath.recipe)).solve(molalities(bath), list(ours))
    assert bath.ph == pytest.approx(theirs.ph, abs=0.005)
    strength = bath.ionic_strength_mol_l / WATER_KG_L
    assert strength == pytest.approx(theirs.ionic_strength_mol_kg, rel=0.005)
    for ion, molality in ours.items():
        assert molality == pytest.approx(theirs.molality[ion], rel=0.02), ion


# Our species, how phreeqc.dat writes its reaction, and what turns that into a formation reaction.
SHIPPED = {
    "hydroxide": ("H2O = OH- + H+", 1),
    "bicarbonate": ("CO3-2 + H+ = HCO3-", 1),
    "carbon_dioxide": ("CO3-2 + 2 H+ = CO2 + H2O", 1),
    "ammonium": ("NH4+ = NH3 + H+", -1),
    "hydrogen_phosphate": ("PO4-3 + H+ = HPO4-2", 1),
    "dihydrogen_phosphate": ("PO4-3 + 2 H+ = H2PO4-", 1),
    "phosphoric_acid": ("PO4-3 + 3H+ = H3PO4", 1),
}
# Ion pairs of that database, which are no species of ours, over the acid anion they form with.
PAIRS = {
    "sodium_carbonate_pair": (
        "NaCO3-",
        {"sodium": 1, "carbonate": 1},
        "Na+ + CO3-2 = NaCO3-",
        None,
    ),
    "sodium_bicarbonate_pair": (
        "NaHCO3",
        {"sodium": 1, "carbonate": 1, "proton": 1},
        "Na+ + HCO3- = NaHCO3",
        "bicarbonate",
    ),
    "sodium_phosphate_pair": (
        "NaHPO4-",
        {"sodium": 1, "phosphate": 1, "proton": 1},
        "Na+ + HPO4-2 = NaHPO4-",
        "hydrogen_phosphate",
    ),
    "potassium_phosphate_pair": (
        "KHPO4-",
        {"potassium": 1, "phosphate": 1, "proton": 1},
        "K+ + HPO4-2 = KHPO4-",
        "hydrogen_phosphate",
    ),
}


def shipped_constants() -> str:
    """The constants of phreeqc.dat, chosen over ours, and its ion pairs, as tables of a recipe."""
    known = "source = 'phreeqc.dat'\nkind = 'computed'\n"
    log_k = {
        name: sign * log_k_in("phreeqc.dat", reaction) for name, (reaction, sign) in SHIPPED.items()
    }
    text = "".join(
        f"[species.{name}]\nconstant = 'phreeqc_dat'\n"
        f"[species.{name}.alternatives.phreeqc_dat]\nlog_k_25c = {value!r}\n{known}"
        for name, value in log_k.items()
    )
    for name, (formula, parts, reaction, over) in PAIRS.items():
        value = log_k_in("phreeqc.dat", reaction) + (log_k[over] if over else 0.0)
        forms_from = ", ".join(f"{part} = {count}" for part, count in parts.items())
        text += f"[species.{name}]\nformula = '{formula}'\nforms_from = {{ {forms_from} }}\n"
        text += f"log_k_25c = {value!r}\n{known}"
    return text


# Where the file's coefficients are furthest from Davies: phosphate of charge -3, and I of 0.4.
OWN_ION_SIZES = {"phosphate, alkaline": 0.11, "phosphate, strong": 0.07, "ammonia": 0.035}


@pytest.mark.parametrize("name", SOLUTIONS)
def test_constants_of_the_shipped_database(tmp_path: Path, name: str) -> None:
    """Producer: PHREEQC with its phreeqc.dat, whose constants and ion pairs are ours here.

    That file gives main ions an ion size and a linear term of their own, which no Davies equation
    has: pH 0.02, more where the table above says so, ionic strength 2 %. Reached: pH 0.015 and
    0.10, 0.06, 0.031; ionic strength 1.3 %.
    """
    bath = small_bath(tmp_path, "davies", SOLUTIONS[name], shipped_constants())
    theirs = Program("phreeqc.dat").solve(known_to_the_database(bath), [])
    assert bath.ph == pytest.approx(theirs.ph, abs=OWN_ION_SIZES.get(name, 0.02))
    strength = bath.ionic_strength_mol_l / WATER_KG_L
    assert strength == pytest.approx(theirs.ionic_strength_mol_kg, rel=0.02)


def known_to_the_database(bath: bk.Bath) -> dict[str, float]:
    """Totals without the traces of nickel and hypophosphite, which the database lacks."""
    return {name: total for name, total in molalities(bath).items() if total > 1e-8}


# Sodium chloride and sodium sulfate, mol/kg.
MIXTURES = [(0.1, 0.0), (1.0, 0.0), (3.0, 0.0), (0.0, 0.1), (0.0, 0.5), (0.0, 1.3), (0.1, 0.1)]
MIXTURES += [(0.5, 0.5), (1.0, 0.5), (2.0, 0.5), (0.5, 1.0), (1.0, 1.0), (3.0, 0.3)]
MOLAR_MASS_G_MOL = {"sodium_chloride": 58.443, "sodium_sulfate_anhydrous": 142.036}


@pytest.mark.parametrize(("chloride", "sulfate"), MIXTURES)
def test_specific_interaction_against_pitzer(
    tmp_path: Path, chloride: float, sulfate: float
) -> None:
    """Producer: PHREEQC with its pitzer.dat, to an ionic strength of 4 mol/kg.

    Mean activity coefficients: NaCl 2 %, Na2SO4 2.5 %, water activity 0.002; reached, but for the
    last mixture, 1.0 and 1.7 %, 0.0009.
    """
    amounts = dict(zip(MOLAR_MASS_G_MOL, (chloride, sulfate), strict=True))
    grams = {
        name: molality * WATER_KG_L * MOLAR_MASS_G_MOL[name]
        for name, molality in amounts.items()
        if molality
    }
    bath = small_bath(tmp_path, "sit", grams)
    totals = known_to_the_database(bath)
    theirs = Program("pitzer.dat").solve(totals, ["Na+", "Cl-", "SO4-2"])
    ours = bath.activity_coefficients()

    def gamma(ion: str) -> float:
        return theirs.activity[ion] / theirs.molality[ion]

    if chloride:
        found = (ours["sodium"] * ours["chloride"]) ** 0.5
        assert found == pytest.approx((gamma("Na+") * gamma("Cl-")) ** 0.5, rel=0.02)
    if sulfate:
        found = (ours["sodium"] ** 2 * ours["sulfate"]) ** (1.0 / 3.0)
        expected = (gamma("Na+") ** 2 * gamma("SO4-2")) ** (1.0 / 3.0)
        assert found == pytest.approx(expected, rel=0.025)
    assert bath.water_activity == pytest.approx(theirs.water_activity, abs=2e-3)
