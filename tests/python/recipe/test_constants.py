"""Formation constants at the face: listing them, choosing among them, what goes with them."""

from __future__ import annotations

import bathkin as bk
import pytest
from bathkin.recipe.constants import SpeciesConstant


def listed(recipe: bk.Recipe) -> dict[str, SpeciesConstant]:
    return {one.name: one for one in recipe.constants()}


def test_only_species_of_the_bath_are_listed(recipe: bk.Recipe) -> None:
    known = listed(recipe)
    dissolved = recipe.make_up().species().keys()
    assert known.keys() == dissolved - recipe.make_up().totals().keys() - {"proton"}
    water = known["hydroxide"]
    assert water.constant.enthalpy_kj_mol is None
    assert water.constant.kind == "standard"
    assert water.log_k_25c == pytest.approx(-13.995, abs=1e-3)
    for one in known.values():
        assert one.constant.source
        for other in one.alternatives:
            assert other.note


def test_a_constant_is_chosen_by_label(recipe: bk.Recipe) -> None:
    path = "species.dihydrogen_phosphite.constant"
    before, other = listed(recipe), recipe.set(path, "hkf")
    after = listed(other)
    chosen = after["dihydrogen_phosphite"]
    assert chosen.constant == before["dihydrogen_phosphite"].alternatives[0]
    assert chosen.alternatives[0] == before["dihydrogen_phosphite"].constant
    assert other.get(path) == "hkf"
    assert listed(recipe.set(path, "default")) == before
    with pytest.raises(bk.UnknownNameError, match="valid names: default, hkf") as caught:
        recipe.set(path, "hfk")
    assert caught.value.valid == ["default", "hkf"]


def test_a_choice_and_a_number_of_ones_own_contradict(recipe: bk.Recipe) -> None:
    own = recipe.set("species.nickel_acetate_1.log_k_25c", 1.5)
    assert listed(own)["nickel_acetate_1"].constant.kind == "user"
    with pytest.raises(bk.RecipeError, match="beside a number of your own"):
        own.set("species.nickel_acetate_1.constant", "sit")


@pytest.mark.parametrize("activity", ["davies", "sit", "ideal"])
def test_activity_coefficients(recipe: bk.Recipe, activity: str) -> None:
    bath = recipe.set("solution.activity", activity)._core.make_up()
    coefficients = dict(bath.activity_coefficients())
    assert coefficients.keys() == dict(bath.species()).keys()
    # Only specific interaction has a water activity of its own.
    assert 0.9 < bath.water_activity <= 1.0
    if activity == "ideal":
        assert list(coefficients.values()) == pytest.approx([1.0] * len(coefficients))
    else:
        assert coefficients["sulfate"] < coefficients["sodium"] < 1.0
        assert coefficients["lactic_acid"] == pytest.approx(1.0)


def test_one_switch_for_what_belongs_together(recipe: bk.Recipe) -> None:
    switched = recipe.set("constants.set", "hkf")
    known = listed(switched)
    together = [one for one in known.values() if one.group == "phosphite"]
    solid = {one.name: one for one in switched.solid_constants()}["nickel_phosphite"]
    assert {one.constant.label for one in [*together, solid]} == {"hkf"}
    assert len(together) == 3
    assert not [flag for flag in switched.make_up().flags if flag.where.startswith("constants")]
    with pytest.warns(bk.BathkinWarning, match="constants that belong together are mixed"):
        recipe.set("species.dihydrogen_phosphite.constant", "hkf").make_up()
    with pytest.raises(bk.UnknownNameError, match="label of constants") as caught:
        recipe.set("constants.set", "hfk")
    assert "hkf" in caught.value.valid


def test_widths_and_estimates_are_listed(recipe: bk.Recipe) -> None:
    lactate = listed(recipe)["nickel_lactate_1"].constant
    assert (lactate.log_k_uncertainty, lactate.log_k_class) == (0.5, "recalled")
    assert (lactate.enthalpy_uncertainty_kj_mol, lactate.enthalpy_class) == (6.0, "stated")
    assert lactate.enthalpy_kind == "estimated"
    assert "cobalt lactate" in (lactate.enthalpy_source or "")
    water = listed(recipe)["hydroxide"].constant
    assert (water.enthalpy_uncertainty_kj_mol, water.log_k_class) == (None, "standard")
    warnings = [flag for flag in recipe.make_up().flags if flag.where == "enthalpies.free_metal"]
    assert "nickel_lactate" in warnings[0].what
