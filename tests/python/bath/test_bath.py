"""Baths, rates, loads and sweeps: shapes, names, warnings, round trips."""

from __future__ import annotations

import pickle
import warnings

import bathkin as bk
import numpy as np
import pandas as pd
import pytest


@pytest.fixture(scope="module")
def bath(recipe: bk.Recipe) -> bk.Bath:
    return recipe.make_up()


def test_readings(bath: bk.Bath, recipe: bk.Recipe) -> None:
    assert bath.ph == pytest.approx(4.8, abs=1e-9)
    assert bath.ph_at() == bath.ph_at(temperature_c=25) == bath.ph_at("77 degF") == bath.ph_25c
    assert bath.ph_at("88 degC") == pytest.approx(bath.ph)
    assert bath.temperature_c == pytest.approx(88.0)
    assert bath.recipe == recipe
    assert bath.ionic_strength_mol_l > 0.5
    assert bath.buffer_capacity_mol_l > 0.0


def test_contents(bath: bk.Bath) -> None:
    species, totals = bath.species(), bath.totals()
    assert set(totals) - {"orthophosphite"} <= set(species)
    assert 0.0 < species["nickel"] < totals["nickel"]
    assert bath.make_up() == {
        "nickel_sulfate_hexahydrate": pytest.approx(26.87),
        "sodium_hypophosphite_monohydrate": pytest.approx(30.0),
        "lactic_acid": pytest.approx(27.0),
        "acetic_acid": pytest.approx(12.0),
    }
    adjustment = bath.ph_adjustment
    assert adjustment is not None
    assert set(adjustment.to_dict()) == {"reagent", "mol_l", "g_l"}


def test_ph_adjustment_may_be_none(recipe: bk.Recipe) -> None:
    text = recipe._core.text
    start = text.index("ph = {")
    without = text[:start] + text[text.index("\n", start) :]
    core = type(recipe._core)("no-ph", without)
    with pytest.warns(bk.BathkinWarning, match="extrapolated"):
        bath = bk.Recipe(core).make_up()
    assert bath.ph_adjustment is None
    assert "sodium_hydroxide" not in repr(bath)


def test_sample_temperature_is_checked(bath: bk.Bath) -> None:
    with pytest.raises(bk.RecipeError, match="between 0 and 100 degC"):
        bath.ph_at(120)


def test_rate(bath: bk.Bath) -> None:
    rate = bath.rate()
    assert isinstance(rate, bk.Rate)
    assert set(rate.half_reactions_mol_m2_s) == {"metal", "phosphorus", "hydrogen", "oxidation"}
    assert rate.phosphorus_wt_pct == rate.to_dict()["phosphorus_wt_pct"]
    assert not hasattr(rate, "boron_wt_pct")
    with pytest.raises(AttributeError, match="no attribute 'speed'"):
        _ = rate.speed
    with pytest.raises(AttributeError, match="cannot assign"):
        rate.deposition_um_h = 1.0
    assert rate.factors["order.nickel"] == pytest.approx(1, abs=1e-3)
    assert rate.plate_out_pct is None
    assert pickle.loads(pickle.dumps(rate)) == rate
    assert repr(rate).startswith("Rate\n  deposition_um_h")


def test_plate(bath: bk.Bath) -> None:
    load = bath.plate(minutes=60, area_dm2=20)
    assert load == bath.plate("1 h", "0.2 m2")
    assert load.minutes == 60.0
    assert load.area_dm2 == pytest.approx(20.0)
    assert 0.0 < load.metal_g < load.mass_g
    # thickness = mass / (density x area)
    by_hand = load.mass_g / load.density_g_cm3 / 2000.0 * 1e4
    assert load.thickness_um == pytest.approx(by_hand, rel=1e-9)
    for minutes, area in ((0, 20), (60, -1), (float("nan"), 20)):
        with pytest.raises(bk.RecipeError, match="above zero"):
            bath.plate(minutes, area)


def test_a_load_that_spends_the_bath_warns(recipe: bk.Recipe) -> None:
    small = recipe.set("tank.volume_l", 1).make_up()
    with pytest.warns(bk.BathkinWarning, match="plate: "):
        load = small.plate(minutes=120, area_dm2=10)
    assert load.flags[-1].where == "plate"


def test_outside_the_range_warns_and_flags(recipe: bk.Recipe) -> None:
    hot = recipe.set("operation.temperature_c", 98)
    with pytest.warns(bk.BathkinWarning, match=r"operation\.temperature_c: 98 is outside 75 to 95"):
        bath = hot.make_up()
    assert "operation.temperature_c" in [flag.where for flag in bath.flags]


def test_the_warning_points_at_the_caller(recipe: bk.Recipe) -> None:
    hot = recipe.set("operation.temperature_c", 98)
    calls = (
        hot.make_up,
        hot.simulate_life,
        lambda: bk.simulate_life(hot),
        lambda: bk.sweep(hot, {}),
    )
    for call in calls:
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always")
            call()
        assert [warning.filename for warning in caught] == [__file__]


def test_standing_notices_do_not_warn(bath: bk.Bath) -> None:
    # Warnings are errors here, so making the bath has shown it; the flags are there all the same.
    assert (
        {"recipe"}
        <= {flag.where for flag in bath.flags}
        <= {
            "recipe",
            "solution.activity",
            "enthalpies.free_metal",
        }
    )


def test_bath_pickles_as_its_recipe(bath: bk.Bath, recipe: bk.Recipe) -> None:
    again = pickle.loads(pickle.dumps(bath))
    assert again == bath
    assert again.ph == bath.ph
    assert bath != recipe.set("operation.ph", 4.7).make_up()
    assert "ph_25c" in repr(bath)
    assert "<table>" in bath._repr_html_()


def test_sweep(recipe: bk.Recipe) -> None:
    varied = {"operation.ph": [4.4, 4.8], "operation.temperature_c": ["176 degF", 85, 90]}
    table = bk.sweep(recipe, varied)
    assert isinstance(table, pd.DataFrame)
    assert table.shape[0] == 6
    assert list(table.columns[:2]) == list(varied)
    assert table["operation.temperature_c"].tolist() == pytest.approx([80, 85, 90] * 2)
    for column in (
        "deposition_um_h",
        "phosphorus_wt_pct",
        "hydrogen_l_m2_h",
        "ph",
        "free_metal_mol_l",
        "ionic_strength_mol_l",
        "reductant_efficiency",
    ):
        assert table[column].dtype == np.float64
    assert table.attrs["recipe"] == "nickel-acid"
    assert table.attrs["flags"][0]["where"] == "recipe"
    one = recipe.set({"operation.ph": 4.4, "operation.temperature_c": 85}).make_up().rate()
    assert table["deposition_um_h"][1] == one.deposition_um_h


def test_sweep_gives_reasons(power_law: bk.Recipe) -> None:
    table = bk.sweep(power_law, {"operation.temperature_c": [80, 80, 90]})
    first, same, warm = table["reason"]
    assert pd.isna(first)
    assert pd.isna(same)
    assert warm.startswith("temperature rises from 80.0 degC to 90.0 degC (activation energy): 1.8")


def test_sweep_of_an_array_and_a_name() -> None:
    table = bk.sweep("nickel-acid", {"operation.ph": np.linspace(4.4, 5.2, 5)})
    assert table.shape[0] == 5


def test_sweep_says_how_many_points_are_doubtful(recipe: bk.Recipe) -> None:
    with pytest.warns(bk.BathkinWarning, match=r"2 of 3 points, first at operation\.ph = 5\.6"):
        bk.sweep(recipe, {"operation.ph": [5.4, 5.6, 5.8]})


@pytest.mark.parametrize(
    ("varied", "error", "said"),
    [
        ({"operation.ph": []}, bk.RecipeError, "at least one value"),
        ({"operation.ph": 4.8}, bk.RecipeError, "a list of values"),
        ({"operation.ph": [4.8, 19]}, bk.RecipeError, "operation.ph = 19"),
        ({"operation.hp": [4.8]}, bk.UnknownNameError, "operation.ph"),
    ],
)
def test_sweep_refuses(
    recipe: bk.Recipe, varied: dict[str, list[float]], error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        bk.sweep(recipe, varied)
