"""Recipes: reading, changing, refusing, comparing."""

from __future__ import annotations

import pickle
from pathlib import Path

import bathkin as bk
import numpy as np
import pytest


def test_built_in_recipes_load() -> None:
    names = bk.recipes()
    assert "nickel-acid" in names
    for name in names:
        recipe = bk.load_recipe(name)
        assert recipe.name == name
        assert recipe.title
        assert recipe.backing
        assert recipe.cautions
        assert recipe.cite


def test_headline(recipe: bk.Recipe) -> None:
    assert (recipe.metal, recipe.reductant) == ("nickel", "hypophosphite")
    assert recipe.by_product == "orthophosphite"
    assert recipe.alloy_column == "phosphorus_wt_pct"
    assert recipe.file == "nickel-acid"
    assert [flag.where for flag in recipe.flags] == ["recipe"]


def test_set_gives_a_new_recipe(recipe: bk.Recipe) -> None:
    changed = recipe.set("operation.temperature_c", 85)
    assert recipe.get("operation.temperature_c") == 88.0
    assert changed.get("operation.temperature_c") == 85.0
    assert changed != recipe
    assert changed == recipe.set("operation.temperature_c", "85 degC")
    assert next(e for e in changed.numbers() if e.path == "operation.temperature_c").kind == "user"


@pytest.mark.parametrize(
    ("path", "value", "expected"),
    [
        ("tank.volume_l", np.float64(300), 300.0),
        ("tank.volume_l", np.int64(300), 300.0),
        ("ph_control.with_additions", False, False),
        ("ph_control.with_additions", "false", False),
        ("replenishment.policy", "continuous", "continuous"),
        ("name", "my bath", "my bath"),
        ("operation.ph", "4.6", 4.6),
        ("tank.bleed_l_h", "1 gal/h", pytest.approx(3.785411784)),
    ],
)
def test_values_of_every_type(
    recipe: bk.Recipe, path: str, value: float | str | bool, expected: object
) -> None:
    assert recipe.set(path, value).get(path) == expected


def test_values_that_belong_together(recipe: bk.Recipe) -> None:
    feed = {"replenishment.reductant": "ratio", "replenishment.reductant_per_metal_mol": 2.9}
    assert recipe.set(feed).get("replenishment.reductant") == "ratio"
    with pytest.raises(bk.RecipeError, match="moles of reductant per mole of metal"):
        recipe.set("replenishment.reductant", "ratio")


BAD_VALUES = [
    ("operation.temperature_c", 190, r"190 degF would be 87\.8 degC"),
    ("operation.temperature_c", 140, "boiling point"),
    ("operation.ph", 19, "a pH between 0 and 14"),
    ("operation.ph", float("nan"), "a pH between 0 and 14"),
    ("make_up.lactic_acid_g_l", -1, "zero or more"),
    ("make_up.nickel_sulfate_hexahydrate_g_l", 0, "a reagent that brings nickel"),
    (
        "make_up.nickel_sulfate_g_l",
        26,
        "0.09892 mol/L as nickel_sulfate_hexahydrate_g_l, 0.09257 mol/L as",
    ),
    ("tank.volume_l", 0, "above zero"),
    ("tank.volume_l", "1 ft", "a volume in L"),
    ("replenishment.policy", "sometimes", "one of threshold, continuous, analysis"),
    ("replenisher.metal.nickel_sulfate_hexahydrate_g_l", 0, "a reagent that brings nickel"),
    ("operation.ph", 1.0, "cannot reach pH 1.00 with sodium hydroxide"),
]


@pytest.mark.parametrize(("path", "value", "said"), BAD_VALUES)
def test_bad_values_are_refused(
    recipe: bk.Recipe, path: str, value: float | str, said: str
) -> None:
    with pytest.raises(bk.RecipeError, match=said) as caught:
        recipe.set(path, value)
    assert str(caught.value).startswith(("set: ", "nickel-acid"))


@pytest.mark.parametrize(
    ("path", "near"),
    [
        ("tank.volum_l", "tank.volume_l"),
        ("deposition.order.nickle", "nickel"),
        ("make_up.nickel_sulphate_hexahydrate_g_l", "nickel_sulfate_hexahydrate"),
    ],
)
def test_unknown_names_offer_the_nearest(recipe: bk.Recipe, path: str, near: str) -> None:
    with pytest.raises(bk.UnknownNameError, match=near) as caught:
        recipe.set(path, 1.0)
    assert near in caught.value.valid
    assert caught.value.name
    assert caught.value.name in path


def test_get_of_an_unknown_path(recipe: bk.Recipe) -> None:
    with pytest.raises(bk.UnknownNameError, match=r"did you mean tank\.volume_l"):
        recipe.get("tank.volume")


def test_no_value(recipe: bk.Recipe) -> None:
    with pytest.raises(bk.RecipeError, match="expected a value"):
        recipe.set("tank.volume_l")


def test_file(recipe: bk.Recipe, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    text = recipe._core.text
    path.write_text(text)
    mine = bk.load_recipe(path)
    assert mine.make_up().ph == recipe.make_up().ph

    line = next(n for n, row in enumerate(text.splitlines(), 1) if row.startswith("volume_l"))
    path.write_text(text.replace("value = 400", "value = -4"))
    with pytest.raises(bk.RecipeError, match=rf"mine\.toml:{line}: tank\.volume_l = -4"):
        bk.load_recipe(path)
    path.write_text("format = [")
    with pytest.raises(bk.RecipeError, match=r"mine\.toml:1"):
        bk.load_recipe(path)
    with pytest.raises(bk.RecipeError, match="cannot be read"):
        bk.load_recipe(tmp_path / "none.toml")
    with pytest.raises(bk.UnknownNameError, match="nickel-acid"):
        bk.load_recipe("nickel-acd")


@pytest.mark.parametrize("table", ["[replenisher.metal]", "[work]", "[make_up]"])
def test_missing_tables(recipe: bk.Recipe, tmp_path: Path, table: str) -> None:
    text = recipe._core.text
    start = text.index(table)
    end = text.index("\n\n", start)
    path = tmp_path / "short.toml"
    path.write_text(text[:start] + text[end:])
    with pytest.raises(bk.RecipeError, match=rf"{table[1:-1]}.*\(missing\)"):
        bk.load_recipe(path)


def test_pickle_keeps_text_and_changes(recipe: bk.Recipe) -> None:
    changed = recipe.set({"tank.volume_l": 300, "ph_control.with_additions": False})
    again = pickle.loads(pickle.dumps(changed))
    assert again == changed
    assert again.get("tank.volume_l") == 300.0
    assert recipe != "nickel-acid"


def test_cards(recipe: bk.Recipe) -> None:
    assert repr(recipe).startswith("nickel-acid: acid nickel-phosphorus")
    assert "illustrative" in repr(recipe)
    assert max(map(len, repr(recipe).splitlines())) <= 100
    assert recipe._repr_html_().startswith("<table>")
