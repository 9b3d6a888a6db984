"""Solids, couples and gases at the face: names, keys, refusals, round trips."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import bathkin as bk
import pytest

Command = Callable[..., Any]

OLD = {
    "make_up.phosphorous_acid_mol_l": 1.4,
    "make_up.sodium_sulfate_anhydrous_mol_l": 0.5,
    # Less soluble than built in, so that caustic precipitates it although lactate holds the nickel.
    "solids.nickel_phosphite.log_k_25c": 4.79,
}
SETTINGS = [part for path, value in OLD.items() for part in ("--set", f"{path}={value}")]


@pytest.fixture(scope="module")
def old(recipe: bk.Recipe) -> bk.Recipe:
    return recipe.set(OLD)


def test_indices_and_precipitation_ph(old: bk.Recipe) -> None:
    bath = old.make_up()
    indices = bath.saturation_index()
    assert list(indices) == ["nickel_phosphite", "nickel_hydroxide"]
    assert all(index < 0 for index in indices.values())
    onset = bath.precipitation_ph("nickel_phosphite")
    assert onset is not None
    saturated = old.set("operation.ph", onset).make_up()
    assert saturated.saturation_index()["nickel_phosphite"] == pytest.approx(0.0, abs=1e-6)


def test_a_fresh_bath_without_phosphite_never_precipitates_it(recipe: bk.Recipe) -> None:
    assert recipe.make_up().precipitation_ph("nickel_phosphite") is None


def test_calibration_round_trip(old: bk.Recipe) -> None:
    log_k = old.make_up().log_k_from_precipitation_ph("nickel_phosphite", 5.6)
    calibrated = old.set("solids.nickel_phosphite.log_k_25c", log_k)
    found = calibrated.make_up().precipitation_ph("nickel_phosphite")
    assert found == pytest.approx(5.6, abs=1e-6)


def test_refusals(recipe: bk.Recipe, old: bk.Recipe) -> None:
    bath = old.make_up()
    with pytest.raises(bk.UnknownNameError, match="nickel_phosphite") as caught:
        bath.precipitation_ph("nickel_phosphate")
    assert caught.value.valid == ["nickel_phosphite", "nickel_hydroxide"]
    with pytest.raises(bk.RecipeError, match="between 0 and 14"):
        bath.log_k_from_precipitation_ph("nickel_phosphite", 56)
    with pytest.raises(bk.RecipeError, match="at most 5 mol/L"):
        bath.log_k_from_precipitation_ph("nickel_phosphite", 14)
    with pytest.raises(bk.RecipeError, match="holds no orthophosphite"):
        recipe.make_up().log_k_from_precipitation_ph("nickel_phosphite", 5.6)
    with pytest.raises(bk.UnknownNameError, match="gas"):
        recipe.set("gas_exchange.argon.film_m_h", 0.1)


def test_an_oversaturated_bath_warns(old: bk.Recipe) -> None:
    with pytest.warns(bk.BathkinWarning, match="oversaturated with nickel phosphite"):
        old.set("solids.nickel_phosphite.log_k_25c", 6.5).make_up()


def test_a_recipe_adds_a_solid(recipe: bk.Recipe) -> None:
    text = recipe._core.text + (
        "\n[solids.nickel_lactate]\n"
        'title = "nickel lactate"\n'
        'formula = "NiC6H10O6.3H2O"\n'
        "forms_from = { nickel = 1, lactate = 2, water = 3 }\n"
        "log_k_25c = 2.0\n"
        "enthalpy_kj_mol = 10\n"
        'source = "invented for this test"\n'
        'kind = "invented"\n'
    )
    bath = bk.Recipe(type(recipe._core)("own", text)).make_up()
    assert math.isfinite(bath.saturation_index()["nickel_lactate"])


def test_couples_where_copper_is(recipe: bk.Recipe) -> None:
    assert recipe.make_up().couples() == {}
    couples = recipe.set("make_up.copper_sulfate_pentahydrate_g_l", 0.1).make_up().couples()
    assert set(couples) == {"copper_ion_to_oxide", "copper_ion_to_metal", "copper_oxide_to_metal"}
    assert couples["copper_ion_to_metal"].potential_v_she < 0.34
    assert "Cu2O" in couples["copper_ion_to_oxide"].reaction


def test_solution_prints_and_documents_solids(bathkin: Command) -> None:
    plain = bathkin("solution", "nickel-acid", *SETTINGS, "--quiet")
    assert plain.code == 0
    assert "precipitates" in plain.out
    assert max(map(len, plain.out.splitlines())) <= 100
    document = bathkin("solution", "nickel-acid", "--json").document()
    assert set(document["saturation_index"]) == {"nickel_phosphite", "nickel_hydroxide"}
    assert document["precipitation_ph"]["nickel_phosphite"] is None
    assert 6 < document["precipitation_ph"]["nickel_hydroxide"] < 8
    assert document["couples"] == {}
    copper = ["--set", "make_up.copper_sulfate_pentahydrate_g_l=0.1"]
    document = bathkin("solution", "nickel-acid", *copper, "--json").document()
    assert document["couples"]["copper_ion_to_oxide"]["potential_v_she"] < 0.3
    assert "V (SHE)" in bathkin("solution", "nickel-acid", *copper).out


def test_solution_calibrates(bathkin: Command, old: bk.Recipe) -> None:
    given = ["--precipitates-at", "nickel_phosphite=5.6"]
    document = bathkin("solution", "nickel-acid", *SETTINGS, *given, "--json").document()
    [(path, value)] = document["calibration"].items()
    assert path == "solids.nickel_phosphite.log_k_25c"
    printed = bathkin("solution", "nickel-acid", *SETTINGS, *given, "--quiet").out
    setting = next(line for line in printed.splitlines() if "--set" in line).split()[1]
    assert setting == f"{path}={value:.6f}"
    again = bathkin("solution", "nickel-acid", *SETTINGS, "--set", setting, "--json").document()
    assert again["precipitation_ph"]["nickel_phosphite"] == pytest.approx(5.6, abs=1e-5)


@pytest.mark.parametrize("given", ["nickel_phosphite", "nickel_phosphite=five", "rust=5.6"])
def test_a_wrong_calibration_is_refused(bathkin: Command, given: str) -> None:
    outcome = bathkin("solution", "nickel-acid", *SETTINGS, "--precipitates-at", given)
    assert outcome.code == 2
    assert outcome.err


def test_life_shows_and_is_ended_by_precipitation(recipe: bk.Recipe, bathkin: Command) -> None:
    life = recipe.set("limits.saturation_index_nickel_phosphite", -0.8).simulate_life()
    assert life.dump.limit == "saturation_index_nickel_phosphite"
    column = life.columns["saturation_index_nickel_phosphite"]
    assert column[-1] == pytest.approx(-0.8, abs=0.05)
    assert "saturation_index_nickel_hydroxide" not in life.columns
    assert {solid.name for solid in life.solids} == {"nickel_phosphite", "nickel_hydroxide"}
    assert all(solid.oversaturated_from_h is None for solid in life.solids)
    outcome = bathkin(
        "life", "nickel-acid", "--set", "limits.saturation_index_nickel_phosphite=-0.8", "--quiet"
    )
    assert "nickel phosphite precipitates" in outcome.out


def test_a_life_that_precipitates_says_so(recipe: bk.Recipe) -> None:
    oversaturated = recipe.set({"solids.nickel_phosphite.log_k_25c": 5.19, "limits.turnovers": 3})
    with pytest.warns(bk.BathkinWarning, match="oversaturated with nickel phosphite from"):
        life = bk.simulate_life(oversaturated)
    solid = next(solid for solid in life.solids if solid.name == "nickel_phosphite")
    assert 0 < solid.oversaturated_from_h < life.dump.clock_h
    assert life.to_dict()["solids"] == [one.to_dict() for one in life.solids]


def test_gas_exchange_keeps_the_books(recipe: bk.Recipe) -> None:
    open_bath = recipe.set(
        {
            "gas_exchange.carbon_dioxide.film_m_h": "10 cm/h",
            "gas_exchange.carbon_dioxide.partial_pressure_atm": "42.6 Pa",
            "gas_exchange.carbon_dioxide.open_surface_m2": "8 ft2",
            "limits.turnovers": 1,
        }
    )
    assert open_bath.get("gas_exchange.carbon_dioxide.film_m_h") == pytest.approx(0.1)
    life = open_bath.simulate_life()
    assert life.columns["carbonate_mol_l"][-1] > 0
    assert life.balance.max_relative_residual < 1e-12
