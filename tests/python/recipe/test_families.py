"""Every built-in recipe through the commands: listed with its backing, solved, rated, plated."""

from __future__ import annotations

from collections.abc import Callable

import bathkin as bk
import pytest
from support import Outcome

Command = Callable[..., Outcome]
FAMILIES = {
    "cobalt-hypophosphite",
    "gold-borohydride",
    "nickel-acid",
    "nickel-alkaline",
    "nickel-boron",
    "palladium-hypophosphite",
    "silver-tartrate",
}


def test_recipes_are_listed_with_their_backing(bathkin: Command) -> None:
    listed = {entry["name"]: entry for entry in bathkin("recipes", "--json").document()["recipes"]}
    assert set(listed) >= FAMILIES
    # No family has a complete published rate equation yet, and each says so.
    for name in FAMILIES:
        assert listed[name]["backing"].startswith("illustrative, calibrate to your data: "), name
    text = bathkin("recipes").out
    assert all(name in text for name in listed)


@pytest.mark.parametrize("name", bk.recipes())
def test_every_recipe_works_with_every_command(bathkin: Command, name: str) -> None:
    for command in ("solution", "rate", "plate"):
        document = bathkin(command, name, "--json").document()
        assert document["recipe"] == name
        assert document["cautions"]
        assert document["flags"][0]["where"] == "recipe"
        text = bathkin(command, name)
        assert text.code == 0, text.err
        assert "Cautions" in text.out
    assert bathkin("rate", name, "--json").document()["points"][0]["deposition_um_h"] > 0.0
    assert bathkin("plate", name, "--json").document()["thickness_um"] > 0.0
