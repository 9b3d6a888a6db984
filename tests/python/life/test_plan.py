"""Dosing plans at the face: call, table, command; and the ledger as a file."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest

Command = Callable[..., Any]
NOW = {"nickel_g_l": 5.6, "ph": 4.65, "turnovers": 1.0}


@pytest.fixture(scope="module")
def plan(recipe: bk.Recipe) -> bk.Plan:
    return recipe.plan(8, NOW, round_ml=50)


def test_a_plan_reads_as_a_table(plan: bk.Plan, recipe: bk.Recipe, tmp_path: Path) -> None:
    table = plan.table()
    assert len(table) == len(plan.additions) > 3
    assert (table["volume_ml"] % 50 == 0).all()
    assert plan.start.metal_g_l == pytest.approx(5.6)
    assert plan.start.ph == pytest.approx(4.65, abs=1e-6)
    assert table["before_metal_g_l"][0] == pytest.approx(5.6)
    sums = table.groupby("replenisher")["volume_ml"].sum()
    assert {total.replenisher: total.volume_ml for total in plan.totals} == dict(sums)
    assert plan.end != plan.end_exact
    assert plan.round_ml == 50
    plan.to_csv(tmp_path / "plan.csv")
    assert list(pd.read_csv(tmp_path / "plan.csv").columns) == list(table.columns)
    assert pickle.loads(pickle.dumps(plan)) == plan
    assert max(map(len, repr(plan).splitlines())) <= 100
    exact = recipe.plan(8, NOW)
    assert exact.end == exact.end_exact
    assert exact.additions[0].volume_ml == pytest.approx(plan.additions[0].exact_ml)


def test_an_empty_plan_says_why(recipe: bk.Recipe) -> None:
    short = recipe.plan(0.1)
    assert short.additions == []
    assert "nothing to add" in short.notes[0]
    assert "nothing to add" in repr(short)


def test_plan_command(bathkin: Command, plan: bk.Plan, tmp_path: Path) -> None:
    file = tmp_path / "plan.csv"
    asked = [text for name, value in NOW.items() for text in ("--now", f"{name}={value}")]
    told = bathkin("plan", "nickel-acid", *asked, "--round-ml", "50", "--csv", str(file))
    assert told.code == 0
    assert "nickel replenisher" in told.out
    assert "doses are rounded to 50 mL" in " ".join(told.out.split())
    assert "Cautions" in told.out
    assert max(map(len, told.out.splitlines())) <= max(100, len(f"wrote {file}"))
    assert len(pd.read_csv(file)) == len(plan.additions)
    document = bathkin("plan", "nickel-acid", *asked, "--round-ml", "50", "--json").document()
    assert document["command"] == "plan"
    assert document["additions"] == [one.to_dict() for one in plan.additions]
    assert document["cautions"] == plan.cautions


def test_plan_on_a_calendar(bathkin: Command, tmp_path: Path) -> None:
    file = tmp_path / "shift.csv"
    file.write_text("rack,area_dm2,in_h,minutes\nrack,200,1,60\nrack 2,200,3,60\n")
    document = bathkin("plan", "nickel-acid", "--calendar", str(file), "--json").document()
    times = [addition["at_h"] for addition in document["additions"]]
    assert times
    assert all(1.0 <= hour <= 2.0 or 3.0 <= hour <= 4.0 for hour in times)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--now", "nickle_g_l=5"], "nickel_g_l"),
        (["--now", "nickel_g_l"], "expected NAME=VALUE"),
        (["--now", "ph=15"], "a pH between 0 and 14"),
        (["--shift-h", "0"], "hours above zero"),
        (["--round-ml", "-5"], "above zero"),
    ],
)
def test_refusals(bathkin: Command, arguments: list[str], message: str) -> None:
    refused = bathkin("plan", "nickel-acid", *arguments)
    assert refused.code == 2
    assert message in refused.err


def test_life_writes_its_ledger(bathkin: Command, life: bk.Life, tmp_path: Path) -> None:
    file = tmp_path / "ledger.csv"
    assert bathkin("life", "nickel-acid", "--ledger", str(file)).code == 0
    written = pd.read_csv(file)
    assert list(written.columns) == list(life.ledger().columns)
    assert len(written) == len(life.ledger())
    litres = life.columns["metal_replenisher_ml_l"][-1] * life.recipe.get("tank.volume_l") / 1e3
    metal = written[written["replenisher"] == "nickel replenisher"]
    assert metal["volume_ml"].sum() / 1e3 == pytest.approx(litres)


def test_a_plan_is_drawn(bathkin: Command, tmp_path: Path) -> None:
    picture = tmp_path / "plan.png"
    outcome = bathkin("plan", "nickel-acid", "--plot", str(picture))
    assert outcome.code == 0
    assert picture.stat().st_size > 10_000
    refused = bathkin("plan", "nickel-acid", "--plot", str(tmp_path / "plan.txt"))
    assert refused.code == 2
    empty = bk.load_recipe("nickel-acid").plan(shift_h=0.1).plot()
    assert len(empty.axes) == 3


def test_analyses_far_off_are_refused_unless_sure(bathkin: Command) -> None:
    for analysis, slip in (
        ("ph=9", "+4.20 pH off the set-point, 4.80"),
        ("nickel_g_l=12", "200 % of the set-point"),
        ("nickel_g_l=58", "a slip of the decimal point, 5.8 (97 %)"),
        ("nickel_g_l=9.5 %", "nickel_pct_of_set_point = 9.5"),
    ):
        outcome = bathkin("plan", "nickel-acid", "--now", analysis)
        assert (outcome.code, outcome.out) == (2, ""), analysis
        assert slip in outcome.err, outcome.err
        assert "--sure" in outcome.err
        assert "sodium hydroxide" not in outcome.err
    sure = bathkin("plan", "nickel-acid", "--now", "nickel_g_l=12", "--sure", "--json")
    flags = sure.document()["flags"]
    assert [flag["what"][:22] for flag in flags if flag["where"] == "now.nickel_g_l"] == [
        "12 is 200 % of the set"
    ]


def test_analyses_a_quarter_off_warn(recipe: bk.Recipe) -> None:
    with pytest.warns(bk.BathkinWarning, match=r"now.nickel_g_l: 4.4 is 73 % of the set-point"):
        plan = recipe.plan(0.5, {"nickel_g_l": 4.4})
    assert plan.start.metal_g_l == pytest.approx(4.4)
    with pytest.raises(bk.RecipeError, match="nickel_sulfate_hexahydrate_g_l"):
        recipe.plan(0.5, {"nickel_g_l": 26.9})
    with pytest.warns(bk.BathkinWarning, match="200 % of the set-point"):
        sure = recipe.plan(0.5, {"nickel_g_l": 12.0}, sure=True)
    assert pickle.loads(pickle.dumps(sure)) == sure


@pytest.mark.parametrize("share", ["95 %", "95%", "95 pct", "95 per cent of set-point"])
def test_per_cent_of_the_set_point_is_a_unit(recipe: bk.Recipe, share: str) -> None:
    set_point = recipe.plan(0.1).start.metal_g_l
    start = recipe.plan(0.1, {"nickel_g_l": share}).start
    assert start.metal_g_l == pytest.approx(0.95 * set_point)
    salt = recipe.plan(0.1, {"sodium_hypophosphite_monohydrate_g_l": share}).start
    assert salt.reductant_mol_l == pytest.approx(0.95 * recipe.plan(0.1).start.reductant_mol_l)
    with pytest.raises(bk.RecipeError, match="no set-point"):
        recipe.plan(0.1, {"lactate_mol_l": share})
