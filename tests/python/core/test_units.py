"""Conversions against factors worked out here, with NumPy alone."""

from __future__ import annotations

import bathkin as bk
import numpy as np
import pytest
from bathkin.core.units import to_number, unit_of

# Defined exactly: inch, pound, gallon of 231 cubic inches.
INCH_MM = 25.4
POUND_G = 453.59237
GALLON_L = 231 * (INCH_MM / 100) ** 3
FOOT_DM = 12 * INCH_MM / 100


def test_gallon_and_ounce() -> None:
    np.testing.assert_allclose(GALLON_L, 3.785411784, rtol=1e-12)
    np.testing.assert_allclose(POUND_G / 16 / GALLON_L, 7.48915, rtol=1e-6)


@pytest.mark.parametrize(
    ("path", "text", "expected"),
    [
        ("operation.temperature_c", "190 degF", (190 - 32) / 1.8),
        ("operation.temperature_c", "190F", (190 - 32) / 1.8),
        ("operation.temperature_c", "190 °F", (190 - 32) / 1.8),
        ("operation.temperature_c", "361.15 K", 88.0),
        ("operation.temperature_c", "88 C", 88.0),
        ("temperature_k", "88 degC", 361.15),
        ("make_up.lactic_acid_g_l", "0.8 oz/gal", 0.8 * POUND_G / 16 / GALLON_L),
        ("make_up.lactic_acid_g_l", "27000 mg/L", 27.0),
        ("make_up.thiourea_mg_l", "0.001 g/L", 1.0),
        ("decomposition.rate_mol_l_h", "1 mmol/L/min", 0.06),
        ("work.thickness_um", "0.5 mil", 0.5e-3 * INCH_MM * 1e3),
        ("work.thickness_um", "25 µm", 25.0),
        ("work.loading_dm2_l", "0.3 ft2/gal", 0.3 * FOOT_DM**2 / GALLON_L),
        ("work.loading_dm2_l", "0.3 sq ft/gal", 0.3 * FOOT_DM**2 / GALLON_L),
        ("tank.volume_l", "200 gal", 200 * GALLON_L),
        ("tank.volume_l", "0.4 m3", 400.0),
        ("tank.drag_out_l_m2", "10 mL/ft2", 0.01 / (FOOT_DM / 10) ** 2),
        ("limits.deposition_um_h", "0.5 mil/hr", 0.5e-3 * INCH_MM * 1e3),
        ("load.rack.area_dm2", "2 ft2", 2 * FOOT_DM**2),
        ("load.rack.minutes", "1.5 h", 90.0),
        ("life.longest_clock_h", "2 days", 48.0),
        ("deposition.activation_energy_kj_mol", "15 kcal/mol", 15 * 4.184),
        ("replenishment.metal_trigger_pct", "95 %", 95.0),
        ("limits.phosphorus_wt_pct_min", "8 %", 8.0),
        ("limits.orthophosphite_g_l_as_hpo3", "150 g/L", 150.0),
        ("deposition.reference_mol_l.nickel", "100 mmol/L", 0.1),
        ("warning.stability.temperature_c_above", "176 degF", 80.0),
        ("operation.ph", "4.8", 4.8),
        ("tank.volume_l", "4e2", 400.0),
        ("phosphorus.ph_order", "-0.12", -0.12),
    ],
)
def test_text_to_number(path: str, text: str, expected: float) -> None:
    np.testing.assert_allclose(to_number(path, text), expected, rtol=1e-11)


@pytest.mark.parametrize(
    ("path", "text", "said"),
    [
        ("tank.volume_l", "3 ft", "a volume in L; 'ft' measures something else"),
        ("load.rack.area_dm2", "3 ft3", "an area in dm2; 'ft3' measures something else"),
        ("tank.volume_l", "3 furlongs per fortnight", "a volume in L"),
        ("tank.volume_l", "3 foo", "the unit 'foo' is not known"),
        ("tank.volume_l", "3 $", "a volume in L"),
        ("tank.volume_l", "many", "a volume in L"),
        ("tank.volume_l", "1,000", "a decimal point and no thousands comma"),
        ("operation.ph", "4,8", "a decimal point"),
        ("operation.ph", "4.8 L", "a plain number"),
        ("replenishment.metal_trigger_pct", "95 g", "a percentage"),
        ("replenishment.reductant_per_metal_mol", "3 mol/L", "a plain number"),
        ("make_up.lactic_acid_g_l", "0.1 mol/L", "g/L; 'mol/L' measures something else"),
    ],
)
def test_refusal_names_path_text_and_unit(path: str, text: str, said: str) -> None:
    with pytest.raises(bk.RecipeError) as caught:
        to_number(path, text, "here")
    message = str(caught.value)
    assert message.startswith(f"here: {path} = {text}: expected ")
    assert said in message


def without_unit(recipe: bk.Recipe) -> set[str]:
    stoichiometry = {"electrons", "proton", "water", "Ni", "P", "H", "orthophosphite"}
    return {
        entry.path.rsplit(".", 1)[-1]
        for entry in recipe.numbers()
        if isinstance(entry.value, float)
        and unit_of(entry.path) is None
        # Prices are in the currency of the recipe.
        and not entry.path.startswith("cost.")
    } - stoichiometry


def test_every_number_of_a_recipe_has_a_unit_or_none(
    recipe: bk.Recipe, power_law: bk.Recipe
) -> None:
    of_the_law = {"sites", "power"}
    assert without_unit(recipe) - of_the_law <= without_unit(power_law)
    assert without_unit(power_law) == {
        "format",
        "ph",
        "ph_order",
        "reference_ph",
        "nickel",
        "hypophosphite",
        "exponent",
        "per_metal_mol",
        "hours_per_day",
        "days_per_week",
        "dead_band_ph",
        "turnovers",
    }


def test_area_per_turnover_takes_trade_units() -> None:
    area = bk.area_per_turnover_m2(
        volume_l="200 gal",
        metal_g_l="0.8 oz/gal",
        thickness_um="0.5 mil",
        phosphorus_wt_pct="9 %",
        density_g_cm3=7.9,
    )
    deposit_cm3 = 200 * 0.8 * POUND_G / 16 / 0.91 / 7.9
    np.testing.assert_allclose(area, deposit_cm3 / (0.5e-3 * INCH_MM / 10) * 1e-4, rtol=1e-10)


@pytest.mark.parametrize(("name", "value"), [("volume_l", 0), ("phosphorus_wt_pct", 100.0)])
def test_area_per_turnover_refuses(name: str, value: float) -> None:
    usual = {"volume_l": 1, "metal_g_l": 6, "thickness_um": 25, "density_g_cm3": 8}
    with pytest.raises(bk.RecipeError, match=name):
        bk.area_per_turnover_m2(**{**usual, "phosphorus_wt_pct": 8, name: value})


@pytest.mark.parametrize(
    ("path", "text", "number"),
    [
        ("bulk_reaction.loss.rate_1_s", "0.06 1/min", 0.001),
        ("film.diffusion_m2_s.nickel", "6.6e-6 cm^2/s", 6.6e-10),
        ("bulk_reaction.hydrolysis.rate_mol_l_s", "3.6 mol/L/h", 1e-3),
        ("phosphorus.adsorption.volume_cm3_mol", "0.018 L/mol", 18.0),
        ("solution.density_g_ml", "1100 g/L", 1.1),
    ],
)
def test_rates_densities_and_diffusion_have_their_own_unit(
    path: str, text: str, number: float
) -> None:
    """Units that end in another one: 1/s is no time, m2/s none, g/mL no volume."""
    assert to_number(path, text) == pytest.approx(number, rel=1e-12)
    with pytest.raises(bk.RecipeError, match="expected"):
        to_number(path, "5 min")


def test_the_dictionary_shows_the_unit_that_is_read() -> None:
    """Every number of a recipe: with a unit in one place, with a unit in the other."""
    for name in ("nickel-acid", "copper-tartrate", "nickel-mixed-potential", "nickel-stabilized"):
        for one in bk.load_recipe(name).parameters():
            assert bool(one.unit) == (unit_of(one.path) is not None), one.path
    shown = {one.path: one.unit for one in bk.load_recipe("nickel-acid").parameters()}
    assert shown["cost.water_per_l"] == ""
    assert shown["limits.orthophosphite_g_l_as_hpo3"] == "g/L"
