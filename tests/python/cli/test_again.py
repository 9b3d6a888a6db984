"""JSON documents hold their inputs, and `bathkin again` computes them from nothing else."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pytest
from bathkin.reports import inputs
from support import POWER_LAW, ROOT, Outcome
from support.tanks import tank

Command = Callable[..., Outcome]
# Invented.
RACKS = "rack;in_h;minutes;area_dm2\na;0;60;40,5\nb;2;60;40\n"
RUNS = (
    "coupon;T [degF];time [min];area_dm2;mass gain (mg)\n"
    "A;167;60;0,5;349\nB;176;60;0,5;448\nC;185;60;0,5;553\nD;194;60;0,5;681\nE;203;60;0,5;850\n"
)
RATES = "temperature_c,rate_um_h\n70,6.1\n80,10.6\n85,13.7\n90,17.9\n"
SHORT = ["--set", "limits.turnovers=0.3"]
FEW = ["--members", "3"]
POINTS = ["--points", "8", "--starts", "1", "--restarts", "1"]
RATE = ["--free", "deposition.rate_mol_m2_s"]
SHOP = """
base = "nickel-acid"
name = "our-line"
title = "invented, for this test"
work.calendar = "{calendar}"
work.calendar_repeat_h = 8
limits.turnovers = 0.2
tank.volume_l = 300
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop floor"
    (folder / "plans").mkdir(parents=True)
    (folder / "plans" / "racks.csv").write_text(RACKS)
    (folder / "racks.csv").write_text(RACKS)
    (folder / "runs.csv").write_text(RUNS)
    (folder / "rates.csv").write_text(RATES)
    (folder / "members.csv").write_text("operation.ph\n4.6\n4.8\n")
    (folder / "log.csv").write_bytes((ROOT / "benches" / "data" / "log_a.csv").read_bytes())
    # What the log was made with.
    (folder / "power-law.toml").write_bytes(POWER_LAW.read_bytes())
    for name in ("line-1", "line-2"):
        tank(folder, name)
    (folder / "inside.toml").write_text(SHOP.format(calendar="plans/racks.csv"))
    (folder / "outside.toml").write_text(SHOP.format(calendar=str(folder / "racks.csv")))
    return folder


def texts_of(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [*value, *(text for inner in value.values() for text in texts_of(inner))]
    if isinstance(value, list):
        return [text for inner in value for text in texts_of(inner)]
    return [value] if isinstance(value, str) else []


COMMANDS = [
    ["recipes"],
    ["substrates"],
    ["substrates", "nickel-acid"],
    ["substrates", "{shop}/outside.toml"],
    ["reagents", "lactic"],
    ["reagents", "--recipe", "{shop}/inside.toml"],
    ["show", "nickel-acid", "--set", "tank.volume_l=80 gal"],
    ["show", "{shop}/outside.toml"],
    ["show", "nickel-acid", "--constants"],
    ["solution", "nickel-acid", "--set", "operation.temperature_c=190 degF"],
    ["solution", "nickel-acid", "--over-ph", "4:5:3", "--of", "lactate"],
    ["solution", "nickel-acid", "--titrate", "sodium_hydroxide", "--over-ph", "4.8:6:3"],
    ["solution", "nickel-acid", "--to-ph", "5.2", "--with", "ammonia"],
    ["solution", "nickel-acid", "--sensitivities"],
    ["rate", "nickel-acid"],
    ["rate", "nickel-acid", "--vary", "operation.ph=1,4.4", "--vary", "tank.volume_l=100:200:2"],
    ["rate", "nickel-mixed-potential", "--polarisation", "-0.9:-0.4:5", "--reference", "SCE"],
    ["rate", "nickel-acid", "--uncertainty"],
    ["plate", "{shop}/inside.toml", "--minutes", "30", "--area-dm2", "1 ft2"],
    ["life", "nickel-acid", *SHORT],
    ["life", "{shop}/inside.toml", "--past-limits"],
    ["life", "{shop}/outside.toml", "--set", "limits.turnovers=0.1"],
    ["life", "nickel-acid", *SHORT, "--calendar", "{shop}/racks.csv"],
    ["life", "nickel-acid", *SHORT, "--set", "work.calendar={shop}/racks.csv"],
    ["plan", "nickel-acid", "--now", "nickel_g_l=5.6", "--round-ml", "50"],
    ["plan", "{shop}/inside.toml", "--calendar", "{shop}/racks.csv", "--shift-h", "6"],
    ["plan", "nickel-acid", "--from", "{shop}/log.csv", "--start", "2026-03-04 06:00"],
    ["today", "{shop}/line-1.toml", "{shop}/line-2.csv", *FEW],
    ["backtest", "{shop}/line-1.toml", "{shop}/line-2.csv", *FEW],
    ["today", "{shop}/line-1.toml", *FEW],
    ["today", "{shop}/line-1.toml", "{shop}/line-2.toml", *FEW],
    ["compare", "nickel-acid", "--horizon-h", "60", "--strategy", "big:tank.volume_l=500"],
    ["compare", "nickel-acid", "--bleed-for", "orthophosphite_mol_l"],
    ["ensemble", "nickel-acid", *SHORT, "--draw", "operation.ph=normal(4.8, 0.05)", *FEW],
    ["ensemble", "nickel-acid", "--table", "{shop}/members.csv", "--output", "make_up.ph"],
    [
        *("sensitivity", "nickel-acid", "--draw", "operation.ph=uniform(4.6, 5.0)"),
        *("--output", "make_up.ph_25c", "--points", "4", "--scrambles", "2"),
    ],
    [
        *("optimise", "nickel-acid", "--vary", "operation.temperature_c=180 degF:92"),
        *("--most", "make_up.deposition_um_h", "--limit", "make_up.phosphorus_wt_pct>=9", *POINTS),
    ],
    [
        *("trade-off", "{shop}/outside.toml", "--vary", "operation.ph=4.4:5.2", *POINTS),
        *("--most", "make_up.deposition_um_h", "--most", "make_up.phosphorus_wt_pct"),
    ],
    ["arrhenius", "{shop}/rates.csv", "--at", "190 degF"],
    ["fit", "nickel-acid", "{shop}/runs.csv", *RATE, "--set", "tank.volume_l=1"],
    ["fit", "{shop}/inside.toml", "{shop}/runs.csv", *RATE, "--bootstrap", "3", "--starts", "2"],
    ["fit", "nickel-acid", "--log", "{shop}/log.csv", *RATE],
    ["forecast", "{shop}/power-law.toml", "{shop}/log.csv", "--count", "2", "--seed", "7"],
    [
        *("design", "nickel-acid", "{shop}/runs.csv", *RATE),
        *("--candidates", "temperature_c=70,90", "--candidates", "time_min=60"),
    ],
]


def test_every_command_is_tried() -> None:
    from bathkin import cli

    # `doctor` computes nothing from inputs.
    told = set(cli.group.commands) - {"again", "doctor", "log", "new"}
    assert {command[0] for command in COMMANDS} == told


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: " ".join(command)[:60])
def test_again_is_the_same(
    bathkin: Command, shop: Path, monkeypatch: pytest.MonkeyPatch, command: list[str]
) -> None:
    first = bathkin(*(part.format(shop=shop) for part in command), "--json")
    assert first.code == 0, first.err
    told = first.document()
    # Nothing of this machine: no folder, no user.
    assert not [text for text in texts_of(told) if str(shop) in text]
    assert not [text for text in texts_of(told["inputs"]) if re.match(r"[/~]\w", text)]
    kept = shop.parent / "result.json"
    kept.write_text(first.out, encoding="utf-8")
    # From nothing else: what was read is gone.
    shop.rename(shop.parent / "elsewhere")
    again = bathkin("again", str(kept))
    assert again.code == 0, again.err
    assert again.document() == told
    assert "again the same document" in again.err


def test_inputs_of_a_life(bathkin: Command, shop: Path) -> None:
    asked = ("life", str(shop / "inside.toml"), "--set", "tank.volume_l=80 gal", "--json")
    held = bathkin(*asked).document()["inputs"]
    assert held["versions"] == {"bathkin": bk.__version__, "python": held["versions"]["python"]}
    assert held["options"] == {"recipe": "inside.toml", "set": ["tank.volume_l=80 gal"]}
    assert held["recipe"]["changed"] == {"tank.volume_l": pytest.approx(302.833, abs=1e-3)}
    assert held["solver"]["relative_tolerance"] == 1e-8
    (racks,) = held["files"]
    assert (racks["name"], racks["text"]) == ("plans/racks.csv", RACKS)
    assert racks["digest"] == hashlib.sha256(RACKS.encode()).hexdigest()
    again = shop / "merged.toml"
    again.write_text(held["recipe"]["merged"], encoding="utf-8")
    merged = bk.load_recipe(again)
    assert merged.get("tank.volume_l") == held["recipe"]["changed"]["tank.volume_l"]
    assert merged.digest == held["recipe"]["digest"]


def test_the_digest_is_that_of_the_values() -> None:
    recipe = bk.load_recipe("nickel-acid")
    other = recipe.set("tank.volume_l", 401)
    assert re.fullmatch("[0-9a-f]{64}", recipe.digest)
    assert other.digest != recipe.digest
    assert other.set("tank.volume_l", 400).digest == recipe.digest
    values = {e.path: e.value for e in recipe.numbers()}
    text = json.dumps(values, sort_keys=True, ensure_ascii=False)
    assert recipe.digest == hashlib.sha256(text.encode()).hexdigest()


def test_seed_and_search_of_a_fit(bathkin: Command, shop: Path) -> None:
    fit = bathkin("fit", "nickel-acid", str(shop / "runs.csv"), *RATE, "--json").document()
    assert fit["inputs"]["seed"] == 1
    assert fit["inputs"]["least_squares"]["max_evaluations"] == 5000
    assert fit["inputs"]["files"][0]["text"] == RUNS


def test_results_in_python_hold_their_inputs() -> None:
    recipe = bk.load_recipe("nickel-acid").set({"tank.volume_l": 300, "limits.turnovers": 0.1})
    life = recipe.simulate_life()
    held = life.to_dict()["inputs"]
    assert held["recipe"]["digest"] == recipe.digest == life.recipe.digest
    assert held["recipe"]["changed"] == {"tank.volume_l": 300.0, "limits.turnovers": 0.1}
    assert held["options"]["set"] == ["tank.volume_l=300.0", "limits.turnovers=0.1"]
    assert life.table().attrs["digest"] == recipe.digest
    rows = bk.sweep(recipe, {"operation.ph": [4.4, 4.8]})
    assert rows.attrs["changed"] == recipe.changed
    assert rows.attrs["versions"]["bathkin"] == bk.__version__


def test_again_from_python(bathkin: Command, tmp_path: Path) -> None:
    recipe = bk.load_recipe("nickel-acid").set({"limits.turnovers": 0.1, "limits.area_m2": "off"})
    told = recipe.simulate_life().to_dict()
    kept = tmp_path / "life.json"
    kept.write_text(json.dumps(told), encoding="utf-8")
    again = bathkin("again", str(kept)).document()
    assert again["verdict"] == told["verdict"]
    assert again["table"] == told["table"]
    assert again["inputs"] == told["inputs"]


def changed(told: dict[str, Any], tmp_path: Path) -> Path:
    path = tmp_path / "result.json"
    path.write_text(json.dumps(told), encoding="utf-8")
    return path


def test_again_in_another_version(bathkin: Command, tmp_path: Path) -> None:
    told = bathkin("life", "nickel-acid", *SHORT, "--json").document()
    told["inputs"]["versions"] = {"bathkin": "0.0.1", "python": "3.9.1"}
    outcome = bathkin("again", str(changed(told, tmp_path)))
    assert "was made by bathkin 0.0.1, python 3.9.1; this is bathkin" in outcome.err
    assert "again the same document" in outcome.err


def test_again_when_the_built_in_recipe_is_another_one(bathkin: Command, tmp_path: Path) -> None:
    told = bathkin("life", "nickel-acid", *SHORT, "--json").document()
    # As a version would have left it whose built-in tank was smaller.
    recipe = bk.load_recipe("nickel-acid").set({"tank.volume_l": 123, "limits.turnovers": 0.3})
    told["inputs"]["recipe"] |= {"digest": recipe.digest, "merged": recipe._core.merged()}
    outcome = bathkin("again", str(changed(told, tmp_path)))
    assert outcome.code == 0
    assert "the recipe nickel-acid is another one in this version" in outcome.err
    now = outcome.document()
    assert now["inputs"]["recipe"]["digest"] == recipe.digest
    assert now["volumes"]["volume_l"] == pytest.approx(123.0, rel=1e-6)
    assert "another document: first at" in outcome.err


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("no json", "expected what a command prints with --json"),
        ("[1]", "with its inputs"),
        ('{"command": "life", "version": "0.1.0"}', "with its inputs"),
        (
            '{"command": "life", "inputs": {"versions": {}, "options": {}}}',
            "inputs.files is missing",
        ),
        (
            '{"command": "fly", "inputs": {"versions": {}, "options": {}, "files": []}}',
            "no command is called fly",
        ),
        (
            '{"command": "life", "inputs": {"versions": {}, "options": {"wings": 2}, "files": []}}',
            "life has no option wings",
        ),
        (
            '{"command": "life", "inputs": {"versions": {}, "options": {"recipe": "a.toml"},'
            ' "files": [{"name": "../a.toml", "text": "x"}]}}',
            "below no other folder",
        ),
    ],
)
def test_what_is_no_document(bathkin: Command, tmp_path: Path, content: str, said: str) -> None:
    path = tmp_path / "result.json"
    path.write_text(content)
    outcome = bathkin("again", str(path))
    assert outcome.code == 2
    assert said in outcome.err
    assert "Traceback" not in outcome.err


def test_a_pipe_is_read_once(bathkin: Command, tmp_path: Path) -> None:
    told = bathkin("recipes", "--json").document()
    told["inputs"]["files"] = [inputs._file_inputs(Path("/dev/null"), "runs.csv")]
    outcome = bathkin("again", str(changed(told, tmp_path)))
    assert outcome.code == 2
    assert "lacks the content of runs.csv: it was a pipe" in outcome.err


def test_files_of_one_name_stay_apart() -> None:
    aliases = inputs.Aliases()
    for given in ("/a/one/log.csv", "/a/two/log.csv", "../log.csv", "here.csv"):
        aliases.add(given)
    assert list(aliases.names.values()) == ["log.csv", "two/log.csv", "again/log.csv", "here.csv"]
    told = aliases.told({"ph@/a/two/log.csv": ["/a/one/log.csv:7", 4.8, None]})
    assert told == {"ph@two/log.csv": ["log.csv:7", 4.8, None]}
