"""BathSensitivities of a bath at the face: names, columns, against differences of fresh baths."""

from __future__ import annotations

import pickle
import re
from collections.abc import Callable
from typing import Any

import bathkin as bk
import pytest

Command = Callable[..., Any]

# Differences over 2 % of a total or 0.02 in log10 K agree with the sensitivities to 2e-3: what is
# left is the curvature over the step.
TOLERANCE = 2e-3


@pytest.fixture(scope="module")
def bath(recipe: bk.Recipe) -> bk.Bath:
    return recipe.make_up()


@pytest.fixture(scope="module")
def own(recipe: bk.Recipe) -> bk.Recipe:
    """The same recipe, its caustic weighed out in place of a pH: now the pH can move."""
    caustic = recipe.make_up().ph_adjustment
    assert caustic is not None
    text = re.sub(r"(?m)^ph(_reading|_reagent)? = .*\n", "", recipe._core.text)
    grams = f"[make_up]\nsodium_hydroxide_g_l = {caustic.g_l!r}\n"
    return bk.Recipe(type(recipe._core)("own", text.replace("[make_up]\n", grams)))


def answers(bath: bk.Bath) -> list[float]:
    species = bath.species()
    return [bath.ph, bath.ionic_strength_mol_l, species["nickel"], species["nickel_lactate_1"]]


def difference(own: bk.Recipe, path: str, by: float) -> list[float]:
    value = own.get(path) if path.startswith(("operation", "make_up")) else None
    at = LOG_K[path] if value is None else float(value)
    high, low = (answers(own.set(path, at + step).make_up()) for step in (by, -by))
    return [(a - b) / (2.0 * by) for a, b in zip(high, low, strict=True)]


LOG_K = {
    "species.acetic_acid.log_k_25c": 4.756,
    "species.nickel_lactate_1.log_k_25c": 2.2,
    "species.nickel_sulfate_1.log_k_25c": 2.3,
}


def test_the_bath_with_its_caustic_weighed_out_is_the_bath(own: bk.Recipe, bath: bk.Bath) -> None:
    assert answers(own.make_up()) == pytest.approx(answers(bath), rel=1e-9)


@pytest.mark.parametrize("path", LOG_K)
def test_constants_against_differences(own: bk.Recipe, bath: bk.Bath, path: str) -> None:
    sensitivities = bath.sensitivities()
    assert (
        dict(zip(sensitivities.parameters, sensitivities.columns["value"], strict=True))[path]
        == LOG_K[path]
    )
    found = sensitivities.table(of="nickel_lactate_1").loc[path].to_list()
    assert found == pytest.approx(difference(own, path, 0.01), rel=TOLERANCE)


def test_the_temperature_against_differences(own: bk.Recipe, bath: bk.Bath) -> None:
    found = bath.sensitivities().table(of="nickel_lactate_1").loc["temperature_c"].to_list()
    assert found == pytest.approx(difference(own, "operation.temperature_c", 0.5), rel=TOLERANCE)


def test_totals_against_differences(own: bk.Recipe, bath: bk.Bath) -> None:
    table = bath.sensitivities().table(of="nickel_lactate_1")
    for reagent, gives, grams in (
        ("lactic_acid_g_l", ["lactate"], 90.079),
        ("nickel_sulfate_hexahydrate_g_l", ["nickel", "sulfate"], 262.84),
        ("sodium_hydroxide_g_l", ["sodium"], 39.997),
    ):
        path = f"make_up.{reagent}"
        expected = difference(own, path, 0.01 * float(own.get(path)))
        found = sum(table.loc[f"total.{name}"].to_numpy() for name in gives) / grams
        assert list(found) == pytest.approx(expected, rel=TOLERANCE)


def test_the_table(bath: bk.Bath) -> None:
    sensitivities = bath.sensitivities()
    table = sensitivities.table()
    assert list(table.columns) == ["ph", "ionic_strength_mol_l", "free_metal_mol_l"]
    assert list(table.index) == sensitivities.parameters
    assert table.index.name == "parameter"
    totals = [f"total.{name}" for name in bath.totals()]
    assert sensitivities.parameters[: len(totals) + 1] == [*totals, "temperature_c"]
    assert set(sensitivities.kinds) == {"total", "temperature", "constant"}
    # Water's ionic product is a standard and no setting.
    assert "species.hydroxide.log_k_25c" not in table.index
    both = sensitivities.table(of=["lactate", "lactic_acid"])
    assert list(both.columns[3:]) == ["lactate", "lactic_acid"]
    assert set(sensitivities.species) == set(bath.species())
    assert (both["lactate"] == sensitivities.species["lactate"]).all()
    with pytest.raises(bk.UnknownNameError, match="did you mean lactate") as caught:
        sensitivities.table(of="lactat")
    assert "nickel_lactate_1" in caught.value.valid
    with pytest.raises(ValueError, match="read-only"):
        sensitivities.columns["ph"][0] = 1.0


def test_changes_are_of_everyday_size(bath: bk.Bath) -> None:
    sensitivities = bath.sensitivities()
    strongest, table = sensitivities.changes(), sensitivities.table()
    assert len(strongest) == len(table)
    assert strongest["change"]["total.sodium"] == pytest.approx(0.01 * bath.totals()["sodium"])
    assert strongest["change"]["temperature_c"] == 1.0
    row = strongest.loc["species.lactic_acid.log_k_25c"]
    assert row["ph"] == pytest.approx(0.1 * table["ph"]["species.lactic_acid.log_k_25c"])
    share = 0.1 * table["free_metal_mol_l"]["species.lactic_acid.log_k_25c"]
    assert row["free_metal_pct"] == pytest.approx(100.0 * share / bath.species()["nickel"])
    assert strongest.iloc[0].abs()["ph"] > strongest.iloc[-1].abs()["ph"]


def test_they_pickle_compare_and_show_themselves(bath: bk.Bath) -> None:
    sensitivities = bath.sensitivities()
    again = pickle.loads(pickle.dumps(sensitivities))
    assert again == sensitivities
    assert again.table().equals(sensitivities.table())
    assert repr(sensitivities).startswith("strongest on nickel-acid, of 24 parameters\n  ")
    assert "free nickel" in repr(sensitivities)
    assert "<table>" in sensitivities._repr_html_()


def test_command_sensitivities(bathkin: Command, bath: bk.Bath) -> None:
    outcome = bathkin("solution", "nickel-acid", "--sensitivities")
    assert outcome.code == 0
    assert max(map(len, outcome.out.splitlines())) <= 100
    said = " ".join(outcome.out.split())
    assert "what 1 % more of a total, 1 degC more, or 0.1 more in a log10 K does" in said
    rows = [line for line in outcome.out.splitlines() if "+0.1 log K" in line or "+1 " in line]
    assert len(rows) == 15
    read = bathkin("solution", "nickel-acid", "--sensitivities", "--json").document()
    assert read["command"] == "solution"
    assert read["ph"] == pytest.approx(4.8)
    sensitivities = read["sensitivities"]
    assert sensitivities["parameter"] == bath.sensitivities().parameters
    assert set(sensitivities) == {
        "parameter",
        "kind",
        "value",
        "usual_change",
        "ph",
        "ionic_strength_mol_l",
        "ln_water_activity",
        "free_metal_mol_l",
        "species",
    }
    assert set(sensitivities["species"]) == set(bath.species())
    for columns in (sensitivities["ph"], sensitivities["species"]["nickel_lactate_1"]):
        assert len(columns) == len(sensitivities["parameter"])


@pytest.mark.parametrize(
    "other",
    [("--over-ph", "2:8"), ("--to-ph", "5"), ("--precipitates-at", "nickel_hydroxide=6")],
)
def test_sensitivities_answer_alone(bathkin: Command, other: tuple[str, str]) -> None:
    outcome = bathkin("solution", "nickel-acid", "--sensitivities", *other)
    assert outcome.code == 2
    assert "do not go together" in outcome.err
    assert outcome.out == ""
