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


def test_what_is_hard_to_believe_of_a_log_is_a_warning(bathkin: Command, tmp_path: Path) -> None:
    future = tank(tmp_path, "future", [row.replace("2026-", "2996-") for row in ROWS])
    outcome = bathkin("today", str(future), *FEW, "--quiet")
    assert outcome.code == 0
    assert "row 1, timestamp = 2996-03-02 06:00: the row lies in the future" in outcome.err
    cells = [row.split(",") for row in ROWS]
    tenfold = [[*each[:5], *(f"{10 * float(cell)}" for cell in each[5:])] for each in cells]
    larger = [",".join(each) for each in tenfold]
    outcome = bathkin("today", str(tank(tmp_path, "larger", larger)), *FEW, "--quiet")
    assert "is it the log of a larger tank (tank.volume_l = 400)" in outcome.err
    # What fails says it too: the row of the year 2996 comes long after all was used up.
    last = ROWS[-1].replace("2026-", "2996-")
    outcome = bathkin("today", str(tank(tmp_path, "typo", [*ROWS, last])), *FEW)
    assert outcome.code == 3
    assert "row 7, timestamp = 2996-03-03 08:00: the row lies in the future" in outcome.err


def test_a_calendar_that_ends_before_the_log_is_a_warning(bathkin: Command, tmp_path: Path) -> None:
    recipe = tank(tmp_path, "racks", [row.replace(",200,", ",,") for row in ROWS])
    log = tmp_path / "racks.csv"
    log.write_text(log.read_text().replace("area in tank (dm2)", "note"))
    (tmp_path / "calendar.csv").write_text(
        "in,out,area_dm2\n"
        "2026-03-02 06:30,2026-03-02 08:00,200\n"
        "2026-03-02 08:30,2026-03-02 10:00,200\n"
    )
    recipe.write_text(recipe.read_text().replace("hours_per_day = 8", 'calendar = "calendar.csv"'))
    outcome = bathkin("today", str(recipe), *FEW, "--quiet")
    assert "the racks of the calendar end 4.00 h after the first row, 22.0 h before" in outcome.err
    checked = bathkin("log", "check", str(recipe), str(log))
    assert checked.code == 0
    assert "hard to believe" in checked.out
    assert "work.calendar_repeat_h" in checked.out


def test_a_forecast_says_how_far_off_today_is(bathkin: Command, tmp_path: Path) -> None:
    recipe, log = str(tank(tmp_path, "line-1")), str(tmp_path / "line-1.csv")
    line = ["forecast", recipe, log, "--count", "10", "--despite-misfit"]
    found = bathkin(*line, "--json").document()
    followed = bk.track(recipe, log, members=100)
    assert found["today"]["dump"]["clock_h"]["p50"] == followed.dump.clock_h.p50
    later = followed.dump.clock_h.p50 - found["dump"]["clock_h"]["p50"]
    assert found["today"]["later_h"] == pytest.approx(later)
    days = "later" if later > 0.0 else "earlier"
    text = " ".join(bathkin(*line).out.split())
    assert "bathkin today, from where the bath stands: 2026-" in text
    assert f"days {days} than this forecast; plan by that of today" in text
    # Made up a day before the log begins: its hours count from there.
    made_up = ["--made-up", "2026-03-01 06:00", "--json"]
    earlier = bathkin(*line, *made_up).document()
    assert earlier["today"]["later_h"] == pytest.approx(later + 24.0)
