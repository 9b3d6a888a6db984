"""The shift sheet: `bathkin plan --from LOG`. All data is invented."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pytest
from support import Outcome
from support.tanks import tank

Command = Callable[..., Outcome]
START = "2026-03-04 06:00"


@pytest.fixture
def line(tmp_path: Path) -> list[str]:
    recipe = tank(tmp_path, "line-1")
    return ["plan", str(recipe), "--from", str(tmp_path / "line-1.csv"), "--shift-h", "2"]


def plain(text: str) -> str:
    return " ".join(text.split())


def test_clock_times_litres_and_room_to_sign(bathkin: Command, line: list[str]) -> None:
    outcome = bathkin(*line, "--start", START)
    assert outcome.code == 0, outcome.err
    text = plain(outcome.out)
    assert "shift sheet of line-1: 2026-03-04 06:00 to 08:00" in text
    assert "line-1.csv tells to row 6, 2026-03-03 08:00" in text
    assert "level: 400 L at the start" in text
    assert "checked by ____" in text
    rows = [line for line in outcome.out.splitlines() if "nickel replenisher" in line]
    assert all(line.startswith("06:") or line.startswith("07:") for line in rows[:-1])
    assert rows[0].rstrip().endswith("______")
    assert " L " in rows[0]


def test_without_a_start_the_parts_of_the_shift_are_named(
    bathkin: Command, line: list[str]
) -> None:
    text = bathkin(*line).out
    assert any(line.startswith(("start, ", "middle, ")) for line in text.splitlines())


def test_doses_are_whole_steps_of_a_jug(bathkin: Command, line: list[str]) -> None:
    found = bathkin(*line, "--json").document()
    assert found["round_ml"] in {10.0, 20.0, 50.0}
    doses = [one["volume_ml"] / found["round_ml"] for one in found["additions"]]
    assert doses == [round(dose) for dose in doses]
    in_ounces = bathkin(*line, "--gallons", "--json").document()
    # US fluid ounce: 29.5735295625 mL by definition.
    assert in_ounces["round_ml"] / 29.5735295625 in {0.5, 1.0, 2.0}
    assert "fl oz" in bathkin(*line, "--gallons").out


def test_an_analysis_is_held_against_the_bath(bathkin: Command, line: list[str]) -> None:
    now = bk.track(line[1], members=100)["metal_g_l"].value
    ten_times = bathkin(*line, "--now", f"nickel_g_l={10 * now:.1f}")
    assert ten_times.code == 2
    assert f"with the point moved it would be {now:.2f}" in ten_times.err
    assert "--sure" in ten_times.err
    assert bathkin(*line, "--now", f"nickel_g_l={now:.2f}").code == 0
    assert bathkin(*line, "--now", "nickel_g_l=9").code == 2
    assert bathkin(*line, "--now", "nickel_g_l=9", "--sure").code == 0


def test_two_digits_swapped(bathkin: Command, line: list[str]) -> None:
    now = bk.track(line[1], members=100)["ph"].value
    digits = f"{now:.2f}"  # 4.79 or the like: 7.49
    swapped = f"{digits[2]}.{digits[0]}{digits[3]}"
    refused = bathkin(*line, "--now", f"ph={swapped}")
    assert refused.code == 2
    assert f"with two digits swapped it would be {digits}" in refused.err


def test_racks_are_those_of_the_calendar_from_the_start(bathkin: Command, tmp_path: Path) -> None:
    (tmp_path / "racks.csv").write_text(
        "rack,in_h,minutes,area_dm2\nA,1,60,150\nB,49,90,150\nC,50,30,100\nD,60,30,100\n"
    )
    calendar = 'calendar = "racks.csv"\ncalendar_start = "2026-03-02 06:00"'
    recipe = tank(tmp_path, "line-1")
    recipe.write_text(recipe.read_text().replace("hours_per_day = 8", calendar))
    asked = ["plan", str(recipe), "--start", START, "--shift-h", "4"]
    found = bathkin(*asked, "--json").document()
    racks = [(one["rack"], one["at_h"], one["minutes"]) for one in found["racks"]]
    assert racks == [("B", 1.0, 90.0), ("C", 2.0, 30.0)]
    assert found["shift_start"] == START
    lines = [line.split() for line in bathkin(*asked).out.splitlines()]
    assert ["07:00", "08:30", "B", "90", "150", "______"] in lines


def test_pumps_are_set_in_ml_an_hour(bathkin: Command, tmp_path: Path) -> None:
    recipe = tank(tmp_path, "line-1")
    pumped = [
        "--set",
        "replenishment.policy=continuous",
        "--set",
        "replenishment.metal_trigger_pct=off",
    ]
    outcome = bathkin("plan", str(recipe), "--litres", *pumped, "--json")
    assert outcome.code == 0, outcome.err
    lines = [one for one in outcome.document()["additions"] if one["pump_ml_h"] is not None]
    assert lines
    # Work is in the tank all eight hours of the shift.
    for one in lines:
        assert one["pump_ml_h"] == pytest.approx(one["volume_ml"] / 8.0, rel=1e-6)
    assert "mL/h" in bathkin("plan", str(recipe), "--litres", *pumped).out


def test_a_start_is_a_day_with_a_time(bathkin: Command, line: list[str]) -> None:
    outcome = bathkin(*line, "--start", "Monday")
    assert outcome.code == 2
    assert "expected a day and time such as 2026-03-02 06:00" in outcome.err
