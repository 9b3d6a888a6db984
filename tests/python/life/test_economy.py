"""Cost, outlook, sensitivity and strategies: commands, documents, pictures."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import matplotlib.image
import numpy as np
import pytest
from support import Outcome

Command = Callable[..., Outcome]
BY_PRODUCT = "orthophosphite_mol_l"


def test_cost_of_a_life(life: bk.Life) -> None:
    cost = life.cost
    assert cost is not None
    assert sum(part for _, part in cost.parts) == pytest.approx(cost.cost)
    assert life.columns["cost"][-1] == pytest.approx(cost.cost)
    table = cost.table()
    assert table["cost_per_um_dm2"].iloc[1] > cost.cost_per_um_dm2
    assert table["past_first_limit"].any() == cost.optimum_beyond_first_limit
    assert cost.waste.volume_l == pytest.approx(400.0)
    assert "permit" in cost.waste_caution
    assert any(flag.where == "cost" for flag in life.flags)


def test_no_prices_no_cost() -> None:
    with pytest.warns(bk.BathkinWarning, match="copper_oxide"):
        life = bk.simulate_life("copper-tartrate")
    assert life.cost is None
    assert "cost" not in life.columns
    assert life.to_dict()["cost"] is None


def test_life_command_with_cost(bathkin: Command, tmp_path: Path) -> None:
    picture = tmp_path / "cost.png"
    outcome = bathkin("life", "nickel-acid", "--past-limits", "--cost-plot", str(picture))
    assert outcome.code == 0
    assert "EUR per um dm2" in outcome.out
    assert "The optimum lies beyond the first limit" in outcome.out
    assert "past the first limit" in outcome.out
    assert "treatment advice" not in outcome.out
    assert max(map(len, outcome.out.splitlines())) <= 100
    assert matplotlib.image.imread(picture).shape[0] > 500
    assert "not reached by 14.6 turnovers" in outcome.out
    document = bathkin("life", "nickel-acid", "--past-limits", "--json").document()
    looked = {row["name"]: row["looked_to_turnovers"] for row in document["outlook"]}
    assert looked["phosphorus_wt_pct_min"] == pytest.approx(14.6, abs=0.1)
    assert document["cost"]["currency"] == "EUR"
    reached = {row["name"]: row["reached"] for row in document["outlook"]}
    assert reached["deposition_um_h"]["turnovers"] > document["verdict"]["turnovers"]
    dear = bathkin("life", "nickel-acid", "--set", "cost.line_per_h=150", "--quiet")
    assert "before the first limit" in dear.out
    none = bathkin("life", "copper-tartrate", "--cost-plot", str(picture))
    assert (none.code, "has no prices" in none.err) == (2, True)


def test_caps_of_other_work(bathkin: Command) -> None:
    cap = "limits.substrate.aluminium.turnovers=5"
    outcome = bathkin("life", "nickel-acid", "--set", cap, "--quiet")
    assert "metal turnovers on aluminium" in outcome.out
    assert "if this were plated" in outcome.out
    life = bk.load_recipe("nickel-acid").set("limits.substrate.aluminium.turnovers", 5)
    row = life.simulate_life().outlook().set_index("name").loc["aluminium.turnovers"]
    assert row["turnovers"] == pytest.approx(5.0, abs=1e-6)
    assert not row["applies"]
    wrong = bathkin("life", "nickel-acid", "--set", "limits.substrate.cheese.turnovers=5")
    assert (wrong.code, "no substrate is called 'cheese'" in wrong.err) == (2, True)


@pytest.mark.parametrize(
    ("setting", "ends"),
    [
        ("limits.sulfate_mol_l_max=0.5", "sulfate (highest) at 0.5 mol/L"),
        ("limits.clock_h=100", "time at 100 h"),
        ("limits.area_m2=30", "area plated at 30 m2"),
        ("limits.ionic_strength_pct_of_fresh=300", "ionic strength at"),
    ],
)
def test_new_limits_in_words(bathkin: Command, setting: str, ends: str) -> None:
    outcome = bathkin("life", "nickel-acid", "--set", setting, "--quiet")
    assert f"First limit reached: {ends}" in outcome.out


def test_sensitivity(bathkin: Command, tmp_path: Path) -> None:
    picture, table = tmp_path / "what.png", tmp_path / "what.csv"
    outcome = bathkin(
        "life", "nickel-acid", "--sensitivity", "--plot", str(picture), "--csv", str(table)
    )
    assert outcome.code == 0
    assert "limits.orthophosphite_g_l_as_hpo3" in outcome.out
    assert max(map(len, outcome.out.splitlines())) <= 100
    assert picture.stat().st_size > 0
    document = bathkin("life", "nickel-acid", "--sensitivity", "--json").document()
    strongest = [abs(row["area_m2_per_step"]) for row in document["sensitivity"]]
    assert strongest == sorted(strongest, reverse=True)
    assert (document["by"], document["currency"]) == ("area", "EUR")
    steps = {row["path"]: row["shop_step_is"] for row in document["sensitivity"]}
    assert steps["operation.ph"] == "0.1 pH"
    assert steps["operation.temperature_c"] == "1 degC"
    assert steps["make_up.lactic_acid_g_l"] == "1 g/L"
    assert "ranked by area plated until the dump" in " ".join(outcome.out.split())
    assert "0.1 pH" in outcome.out
    assert "tank.drag_out_l_m2" in document["skipped"]
    paths = [row["path"] for row in document["sensitivity"]]
    assert not [path for path in paths if path.startswith(("cost.", "half_reaction."))]
    lines = table.read_text().splitlines()
    assert lines[0].startswith("path,value,turnovers,plating_h")
    assert len(lines) == len(paths) + 1
    for other in (["--past-limits"], ["--start", "2026-03-02"]):
        assert bathkin("life", "nickel-acid", "--sensitivity", *other).code == 2
    alone = bathkin("life", "nickel-acid", "--by", "money")
    assert alone.code == 2
    assert "--by ranks what --sensitivity lists" in alone.err
    no_prices = bathkin("life", "nickel-alkaline", "--sensitivity", "--by", "money")
    assert no_prices.code == 2
    assert "by = money: expected a recipe with prices, [cost]" in no_prices.err


@pytest.mark.parametrize(
    ("by", "column", "label"),
    [
        ("area", "area_m2_per_step", "area plated until the dump: more for the step, m²"),
        ("money", "cost_per_um_dm2_per_step", "cost per µm dm²: more for the step, %"),
        ("hours", "plating_h_per_step", "hours of plating until the dump: more for the step, h"),
    ],
)
def test_sensitivity_by(recipe: bk.Recipe, by: str, column: str, label: str) -> None:
    paths = ["operation.ph", "work.thickness_um", "limits.orthophosphite_g_l_as_hpo3"]
    found = recipe.life_sensitivity(paths, by=by)
    assert found.by == by
    assert found.table()[column].abs().is_monotonic_decreasing
    axes = found.plot().axes[0]
    assert axes.get_xlabel() == label
    names = [tick.get_text() for tick in axes.get_yticklabels()]
    assert names[-1] == f"{found.rows[0].path}, {found.rows[0].shop_step_is}"


def test_an_unknown_ranking_is_told_the_known(recipe: bk.Recipe) -> None:
    with pytest.raises(bk.UnknownNameError, match="'clock'") as refused:
        recipe.life_sensitivity(by="clock")
    assert refused.value.valid == ["area", "money", "hours"]


def test_sensitivity_of_a_few(recipe: bk.Recipe) -> None:
    found = recipe.life_sensitivity(["work.loading_dm2_l"])
    assert found.table()["plating_h"]["work.loading_dm2_l"] == pytest.approx(-1.0, abs=1e-3)
    with pytest.raises(bk.UnknownNameError, match=r"work\.loading_dm2_l"):
        recipe.life_sensitivity(["work.loading_dm2"])


def test_compare(bathkin: Command, tmp_path: Path) -> None:
    picture, table = tmp_path / "compare.png", tmp_path / "compare.csv"
    outcome = bathkin("compare", "nickel-acid", "--plot", str(picture), "--csv", str(table))
    assert outcome.code == 0
    assert "dump-and-remake" in outcome.out
    assert max(map(len, outcome.out.splitlines())) <= 100
    assert len(table.read_text().splitlines()) == 4
    assert picture.stat().st_size > 0
    document = bathkin("compare", "nickel-acid", "--json", "--horizon-h", "2000").document()
    dump, bleed, partial = document["strategies"]
    assert partial["name"] == "partial-dump"
    assert dump["clock_h"] + dump["downtime_h"] == pytest.approx(2000.0)
    assert bleed["ends_by"] == "horizon"
    assert len(bleed["columns"]["clock_h"]) == len(bleed["columns"][BY_PRODUCT])
    assert "permit" in document["waste_caution"]
    other = bathkin(
        "compare", "nickel-acid", "--bleed", "0.3", "--strategy", "dragged:tank.drag_out_l_m2=0.2"
    )
    assert "dragged" in other.out
    removal = ("compare", "nickel-acid", "--strategy", "phosphite-removal", "--bleed", "0.3")
    found = bathkin(*removal, "--json").document()["strategies"]
    assert found[-1]["name"] == "phosphite-removal"
    # The salt that stays slows the bath: some 3 baths where dumping takes 5.
    assert found[-1]["waste"]["metal_g"] < 0.7 * found[0]["waste"]["metal_g"]


@pytest.mark.parametrize(
    "arguments",
    [
        ["--horizon-h", "10", "--horizon-m2", "10"],
        ["--horizon-h", "-1"],
        ["--bleed", "0"],
        ["--strategy", "nothing"],
        ["--bleed-for", "turnovers"],
        ["--strategy", "a:tank.no_such=1"],
    ],
)
def test_compare_refuses(bathkin: Command, arguments: list[str]) -> None:
    outcome = bathkin("compare", "nickel-acid", *arguments)
    assert outcome.code == 2
    assert outcome.err.startswith("bathkin: error: ")


def test_bleed_for_a_limit(bathkin: Command, recipe: bk.Recipe) -> None:
    document = bathkin("compare", "nickel-acid", "--bleed-for", BY_PRODUCT, "--json").document()
    needed = recipe.bleed_for(BY_PRODUCT)
    assert document["bleed_for"]["bleed_per_turnover"] == needed.bleed_per_turnover
    assert needed.closed_form == pytest.approx(needed.bleed_per_turnover, rel=0.05)
    assert needed.steady.levels[BY_PRODUCT] == pytest.approx(needed.bound, rel=1e-3)
    text = bathkin("compare", "nickel-acid", "--bleed-for", BY_PRODUCT).out
    assert "of the bath per turnover" in text


def test_compare_in_python(recipe: bk.Recipe) -> None:
    only = bk.compare(recipe, ["dump-and-remake"], horizon_m2=200.0).table()
    assert list(only.index) == ["dump-and-remake"]
    assert only["area_m2"].iloc[0] == pytest.approx(200.0)
    own = bk.compare(recipe, {"cold": {"operation.temperature_c": 80}})
    assert np.isfinite(own.table()["cost_per_um_dm2"].iloc[0])
    with pytest.raises(bk.RecipeError, match="expected dump-and-remake"):
        bk.compare(recipe, ["nothing"])
    with pytest.raises(bk.RecipeError, match="whose by-product is orthophosphite"):
        bk.compare("copper-edta", ["phosphite-removal"])
    unlimited = recipe.set("limits.orthophosphite_g_l_as_hpo3", "off")
    with pytest.raises(bk.RecipeError, match="say how much to bleed"):
        bk.compare(unlimited, ["bleed-and-feed"])
    with pytest.raises(bk.RecipeError, match="one horizon"):
        bk.compare(recipe, horizon_h=1.0, horizon_m2=1.0)
    bare = bk.compare("copper-tartrate", {"as it is": {}}, horizon_m2=1.0)
    assert bare.currency is None
    assert "as it is" in repr(bare)


def test_a_bleed_that_washes_the_complexant_out_is_doubted(bathkin: Command) -> None:
    """Nothing feeds lactate back: after many turnovers of a bleed next to none is left."""
    compared = bk.compare("nickel-acid", ["dump-and-remake", "bleed-and-feed"])
    said = [flag.what for flag in compared.flags if flag.where == "role.lactate"]
    assert any("bleed-and-feed: lactate (complexant) leaves" in what for what in said)
    assert not any("dump-and-remake: lactate" in what for what in said)
    outcome = bathkin("compare", "nickel-acid", "--bleed-for", "orthophosphite_mol_l")
    assert "lactate (complexant) leaves" in outcome.out
    assert max(map(len, outcome.out.splitlines())) <= 100


def test_a_cost_without_a_limit_speaks_of_the_end_of_the_run(bathkin: Command) -> None:
    none = ("--set", "life.longest_clock_h=100")
    outcome = bathkin("life", "nickel-acid", *none)
    assert outcome.code == 0
    assert "the end of the run" in outcome.out
    assert "first limit:" not in outcome.out
    assert (
        bathkin("life", "nickel-acid", *none, "--json").document()["cost"]["limit_reached"] is False
    )
