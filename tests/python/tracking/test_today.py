"""The command `today`. All data is invented."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pytest
from support import Outcome
from support.tanks import ROWS, RUN_DOWN, tank

Command = Callable[..., Outcome]
FEW = ("--members", "10")


def test_one_document(bathkin: Command, tmp_path: Path) -> None:
    recipe = tank(tmp_path, "line-1")
    outcome = bathkin("today", str(recipe), "--json", *FEW)
    assert outcome.code == 0, outcome.err
    found = outcome.document()
    assert found["command"] == "today"
    assert found["recipe"] == "nickel-acid"
    assert set(found) >= {"standing", "findings", "alarms", "dump", "drawn", "held", "next_shift"}
    assert set(found["dump"]["date"]) == {"p10", "p50", "p90"}
    assert found["next_shift"]["totals"][0]["replenisher"] == "nickel replenisher"
    assert {one["name"] for one in found["inputs"]["files"]} == {"line-1.csv"}
    # The log that the recipe names and the same one given are one and the same.
    given = bathkin("today", str(recipe), str(tmp_path / "line-1.csv"), "--json", *FEW)
    assert given.document() == found
    called = bk.track(str(recipe), members=10)
    assert {name: found[name] for name in ("standing", "dump")} == {
        name: called.to_dict()[name] for name in ("standing", "dump")
    }


def test_the_same_again_from_its_document(bathkin: Command, tmp_path: Path) -> None:
    (tmp_path / "logs").mkdir()
    recipe = tank(tmp_path, "line-1")
    (tmp_path / "line-1.csv").rename(tmp_path / "logs" / "line-1.csv")
    recipe.write_text(recipe.read_text().replace('"line-1.csv"', '"logs/line-1.csv"'))
    told = bathkin("today", str(recipe), "--json", *FEW)
    (tmp_path / "today.json").write_text(told.out)
    again = bathkin("again", str(tmp_path / "today.json"))
    assert again.code == 0, again.err
    assert "the same document" in again.err
    assert again.document() == told.document()


def test_the_screen(bathkin: Command, tmp_path: Path) -> None:
    outcome = bathkin("today", str(tank(tmp_path, "line-1")), *FEW)
    assert outcome.code == 0
    assert max(map(len, outcome.out.splitlines())) <= 100 + len(str(tmp_path))
    for words in ("line-1 on 2026-03-03 08:00", "must be dumped", "next 8 h take", "Cautions"):
        assert words in " ".join(outcome.out.split()), words


def test_an_alarm_ends_with_4_and_a_result(bathkin: Command, tmp_path: Path) -> None:
    low = tank(tmp_path, "low", RUN_DOWN)
    outcome = bathkin("today", str(low), *FEW)
    assert outcome.code == 4
    assert "nickel is at 58.8 % of its set-point, below 70.0 %" in outcome.out
    assert "must be dumped" in outcome.out
    assert bathkin("today", str(low), "--json", *FEW).document()["alarms"][0]["code"] == "metal_low"
    off = "alarms.metal_pct_of_set_point_min=50"
    assert bathkin("today", str(low), "--set", off, *FEW).code == 0


def test_a_bad_log_ends_with_2(bathkin: Command, tmp_path: Path) -> None:
    bad = tank(tmp_path, "bad", [*RUN_DOWN, "2026-03-03 13:00,nickel?,0.17,4.3,,0,0,0,0"])
    outcome = bathkin("today", str(bad), *FEW)
    assert outcome.code == 2
    assert "bad.csv: row 9, nickel (g/L) = nickel?: expected a number" in outcome.err
    assert bathkin("today", "nickel-acid").code == 2


@pytest.fixture
def tanks(tmp_path: Path) -> list[str]:
    """Two tanks, the second with an alarm."""
    return [str(tank(tmp_path, "line-1")), str(tank(tmp_path, "line-2", RUN_DOWN))]


def test_several_tanks_are_a_line_each(bathkin: Command, tanks: list[str]) -> None:
    outcome = bathkin("today", *tanks, *FEW)
    assert outcome.code == 4
    lines = outcome.out.splitlines()
    assert {line.split()[0] for line in lines[3:5]} == {"line-1", "line-2"}
    assert next(line for line in lines if line.startswith("line-2")).split()[3:6] == [
        "0.5",
        "59",
        "1",
    ]
    assert any(line.startswith("ALARM line-2: nickel is at 58.8 %") for line in lines)
    assert max(map(len, lines)) <= 100
    assert "must be dumped" not in outcome.out
    assert bathkin("today", *tanks, "--full", *FEW).out.count("must be dumped") == 2


def test_several_tanks_are_one_document(bathkin: Command, tanks: list[str]) -> None:
    outcome = bathkin("today", *tanks, "--json", *FEW)
    assert outcome.code == 4
    found = outcome.document()
    assert [one["recipe"] for one in found["tanks"]] == ["nickel-acid"] * 2
    assert [len(one["alarms"]) for one in found["tanks"]] == [0, 1]
    assert found["recipe"] is None
    assert all(one["dump"]["date"]["p50"] and one["next_shift"] for one in found["tanks"])


def test_one_bad_log_wins_and_keeps_no_other_from_being_shown(
    bathkin: Command, tanks: list[str], tmp_path: Path
) -> None:
    bad = str(tank(tmp_path, "bad", [*ROWS, "never,6.0,0.28,4.8,,0,0,0,0"]))
    outcome = bathkin("today", *tanks, bad, *FEW)
    assert outcome.code == 2
    assert "line-1" in outcome.out
    assert "bad.csv: row 7, timestamp = never" in outcome.err
    found = bathkin("today", *tanks, bad, "--json", *FEW).document()
    assert "row 7" in found["tanks"][2]["error"]


def test_what_is_of_one_bath_is_refused_for_several(bathkin: Command, tanks: list[str]) -> None:
    outcome = bathkin("today", *tanks, "--turnovers", "2")
    assert outcome.code == 2
    assert "--turnovers is of one bath" in outcome.err
    assert "log.csv: expected recipes alone" in bathkin("today", *tanks, "log.csv").err
