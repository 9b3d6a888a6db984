"""The dictionary of the numbers of a recipe."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import jsonschema
import pytest

DATA = Path(__file__).parents[3] / "crates" / "bathkin" / "data"


def test_a_number_has_bounds_scale_role_and_source() -> None:
    """Values are those of the recipe; bounds and roles are those the core reads it with."""
    listed = {one.path: one for one in bk.load_recipe("nickel-acid").parameters()}
    energy = listed["deposition.activation_energy_kj_mol"]
    assert (energy.unit, energy.scale, energy.role) == ("kJ/mol", "linear", "law")
    assert (energy.least, energy.greatest) == (-300.0, 300.0)
    assert energy.text == "activation energy of deposition"
    volume = listed["tank.volume_l"]
    assert (volume.value, volume.bounds, volume.scale) == (400.0, "above 0", "log")
    bleed = listed["tank.bleed_l_h"]
    assert (bleed.value, bleed.default) == (None, 0.0)
    constant = listed["species.nickel_lactate_1.log_k_25c"]
    assert constant.role == "constant"
    assert constant.value is not None


def test_what_is_set_is_listed() -> None:
    """A changed value is in the dictionary of the changed recipe alone."""
    recipe = bk.load_recipe("nickel-acid")
    changed = recipe.set("operation.ph", 5.0)
    value = {one.path: one.value for one in changed.parameters()}["operation.ph"]
    assert value == 5.0
    assert recipe.get("operation.ph") == 4.8


def test_set_checks_each_number_by_its_bounds() -> None:
    """An impossible value is refused where it is set."""
    recipe = bk.load_recipe("nickel-acid")
    with pytest.raises(bk.RecipeError, match="a number above zero"):
        recipe.set("tank.volume_l", -1)
    with pytest.raises(bk.UnknownNameError):
        recipe.set("tank.volumen_l", 1)


def test_show_prints_the_dictionary(bathkin: Callable[..., Any]) -> None:
    """Value, unit and bounds of each on a line; JSON holds the same."""
    shown = bathkin("show", "nickel-acid", "--parameters")
    assert "operation.temperature_c = 88 degC, 0 to 100" in shown.out
    listed = json.loads(bathkin("show", "nickel-acid", "--parameters", "--json").out)["parameters"]
    assert {"path", "value", "unit", "bounds", "role"} <= set(listed[0])


def schema_of_the_package() -> jsonschema.Draft202012Validator:
    """What the built-in recipes name in their first line."""
    schema = json.loads((DATA / "recipe.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize(
    "file", sorted((DATA / "recipes").glob("*.toml")), ids=lambda file: file.stem
)
def test_the_built_in_recipes_are_valid_by_their_schema(file: Path) -> None:
    """The first line of each names the schema, by which it is valid."""
    text = file.read_text(encoding="utf-8")
    named = text.splitlines()[0].removeprefix("#:schema ")
    assert (file.parent / named).resolve() == (DATA / "recipe.schema.json").resolve()
    tomllib = pytest.importorskip("tomllib", reason="in Python from 3.11 on")
    assert list(schema_of_the_package().iter_errors(tomllib.loads(text))) == []


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("operation", "temperature_c"), 120),
        (("tank", "volume_l"), {"value": 0, "source": "invented"}),
        (("make_up", "citric_acid_monohydrate_g_l"), "much"),
        (("operation", "ph_reading"), "lukewarm"),
    ],
)
def test_the_schema_finds_what_the_core_refuses(path: tuple[str, str], value: object) -> None:
    """A number out of bounds, alone or with its source, a text for one, an unknown word."""
    table, key = path
    errors = list(schema_of_the_package().iter_errors({table: {key: value}}))
    assert [list(error.absolute_path)[:2] for error in errors] == [[table, key]]
    with pytest.raises(bk.BathkinError):
        bk.load_recipe("nickel-acid").set(".".join(path), value)


def test_show_prints_the_schema(bathkin: Callable[..., Any]) -> None:
    """That of the package, since the recipe is one of it."""
    shown = bathkin("show", "nickel-acid", "--schema")
    assert json.loads(shown.out) == schema_of_the_package().schema
