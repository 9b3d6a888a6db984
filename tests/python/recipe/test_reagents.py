"""Substances and their spellings at the face: the list, one rule in every place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import bathkin as bk
import pandas as pd
import pytest
from bathkin.core.units import unit_of
from bathkin.tables.headings import of_content

Command = Callable[..., Any]
# 22 g/L over 64.99, 105.99 and 87.98 g/mol.
READINGS = (
    "0.3385 mol/L as hypophosphite_g_l_as_h2po2",
    "0.2076 mol/L as sodium_hypophosphite_monohydrate_g_l",
    "0.2501 mol/L as sodium_hypophosphite_anhydrous_g_l",
)


def test_reagents_are_listed_with_molar_masses_and_spellings() -> None:
    known = {one.name: one for one in bk.reagents()}
    salt = known["disodium_phosphite_anhydrous"]
    # 2 Na, H, P, 3 O by IUPAC weights of 2021.
    assert salt.molar_mass_g_mol == pytest.approx(125.958, abs=2e-3)
    assert salt.bought_for == "orthophosphite"
    assert "orthophosphite_g_l_as_na2hpo3" in salt.spellings
    assert known["sodium_hydroxide"].bought_for is None
    assert known["nickel"].is_component
    assert "nickel_g_l" in known["nickel"].spellings
    assert "hypophosphite_g_l" not in known["hypophosphite"].spellings
    own = {one.name: one.bought_for for one in bk.load_recipe("nickel-acid").reagents()}
    assert own["nickel_hypophosphite_hexahydrate"] == "nickel"


def test_reagents_command(bathkin: Command) -> None:
    told = bathkin("reagents", "hypophosphite")
    assert told.code == 0
    assert "sodium_hypophosphite_monohydrate  NaH2PO2.H2O" in told.out
    assert "105.993" in told.out
    assert "lactic_acid" not in told.out
    assert max(map(len, bathkin("reagents").out.splitlines())) <= 100
    document = bathkin("reagents", "--json").document()
    assert document["command"] == "reagents"
    assert len(document["reagents"]) == len(bk.reagents())
    assert document["reagents"][0]["spellings"]
    of = bathkin("reagents", "--recipe", "nickel-acid", "--json", "nickel").document()
    assert of["recipe"] == "nickel-acid"
    refused = bathkin("reagents", "unobtainium")
    assert (refused.code, refused.out) == (2, "")
    assert "unobtainium" in refused.err


@pytest.mark.parametrize(
    "arguments",
    [
        ["plan", "nickel-acid", "--now", "hypophosphite_g_l=22"],
        ["rate", "nickel-acid", "--set", "make_up.hypophosphite_g_l=22"],
        ["life", "nickel-acid", "--set", "limits.hypophosphite_g_l_min=22"],
    ],
)
def test_grams_of_an_ion_are_asked_back(bathkin: Command, arguments: list[str]) -> None:
    outcome = bathkin(*arguments)
    assert (outcome.code, outcome.out) == (2, "")
    assert "as what?" in outcome.err
    for reading in READINGS:
        assert reading in outcome.err


def test_grams_of_an_ion_are_asked_back_in_tables(recipe: bk.Recipe) -> None:
    free = ["deposition.rate_mol_m2_s"]
    runs = bk.read_runs(pd.DataFrame({"hypophosphite (g/L)": [22], "rate (um/h)": [15]}))
    log = bk.read_log(pd.DataFrame({"time_h": [0, 1], "hypophosphite_g_l": [22, 21]}))
    for data in (runs, log):
        with pytest.raises(bk.DataError, match="as what") as refused:
            bk.fit(recipe, data, free=free)
        for reading in READINGS:
            assert reading in str(refused.value)


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [
        ("nickel (mM)", "nickel_mol_l", "mmol/L"),
        ("nickel_mM", "nickel_mol_l", "mmol/L"),
        ("Nickel mM", "nickel_mol_l", "mmol/L"),
        ("orthophosphite as Na2HPO3 (g/L)", "orthophosphite_g_l_as_na2hpo3", "g/L"),
        ("orthophosphite_g_l_as_na2hpo3", "orthophosphite_g_l_as_na2hpo3", None),
    ],
)
def test_headings_of_contents(heading: str, name: str, unit: str | None) -> None:
    assert of_content("table", heading)[1:3] == (name, unit)


def test_millimoles_are_a_unit(recipe: bk.Recipe) -> None:
    assert unit_of("limits.sulfate_mmol_l_max") == ("mmol/L", "a concentration in mmol/L")
    plain = recipe.plan(0.1, {"nickel_mol_l": 0.1}).start.to_dict()
    for now in ({"nickel_mM": 100}, {"nickel_mmol_l": "0.1 M"}, {"nickel_mol_l": "100 mM"}):
        assert recipe.plan(0.1, now).start.to_dict() == pytest.approx(plain)
    made = recipe.set("limits.sulfate_mmol_l_max", "0.5 mol/L").get("limits.sulfate_mmol_l_max")
    assert made == pytest.approx(500)
