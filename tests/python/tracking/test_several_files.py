"""One bath whose log is in several files. All logs are invented."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pandas as pd
import pytest
from support import Outcome

Command = Callable[..., Outcome]
FEW = ("--members", "10")
HEAD = "timestamp,nickel (g/L),pH,area in tank (dm2),metal added (L)\n"
FIRST = """\
2026-03-02 06:00,6.00,4.80,0,0
2026-03-02 08:00,4.75,4.75,200,5.0
2026-03-02 10:00,4.85,4.78,200,4.6
"""
SECOND = """\
2026-03-02 12:00,4.90,4.74,200,4.4
2026-03-02 14:00,4.80,4.76,200,4.8
"""


def read(text: str, head: str = HEAD) -> bk.Log:
    lines = (head + text).splitlines()
    cells = [line.split(",") for line in lines[1:]]
    return bk.read_log(pd.DataFrame(cells, columns=lines[0].split(",")))


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str, str]:
    """The whole log, and its two halves."""
    names = ("whole.csv", "march-1.csv", "march-2.csv")
    for name, text in zip(names, (FIRST + SECOND, FIRST, SECOND), strict=True):
        (tmp_path / name).write_text(HEAD + text)
    whole, first, second = (str(tmp_path / name) for name in names)
    return whole, first, second


def test_two_files_are_followed_as_the_whole(files: tuple[str, str, str]) -> None:
    whole, first, second = files
    one = bk.track("nickel-acid", whole, members=10)
    # In whatever order they are given.
    two = bk.track("nickel-acid", [second, first], members=10)
    assert two.dump == one.dump
    assert [row.metal_g_l for row in two.rows] == [row.metal_g_l for row in one.rows]
    assert two.log.files == [second, first]
    told = [(step.raw, step.taken) for step in two.log.report if "in order of time" in step.effect]
    assert told == [
        (f"rows 1 to 3 of {first}", "rows 1 to 3"),
        (f"rows 1 to 2 of {second}", "rows 4 to 5"),
    ]


def test_every_command_takes_them(
    bathkin: Command, files: tuple[str, str, str], tmp_path: Path
) -> None:
    whole, first, second = files
    today = bathkin("today", "nickel-acid", first, second, *FEW, "--json")
    same = bathkin("today", "nickel-acid", whole, *FEW, "--json")
    assert today.code == same.code
    assert json.loads(today.out)["dump"] == json.loads(same.out)["dump"]
    sheet = bathkin("plan", "nickel-acid", "--from", first, "--from", second)
    assert sheet.code == 0, sheet.err
    assert "march-2.csv" in sheet.out
    scored = bathkin("backtest", "nickel-acid", first, second, "--rows", "3", *FEW)
    assert scored.code == 0, scored.err
    # No tank among the files, and no file among tanks.
    tank = tmp_path / "tank.toml"
    tank.write_text('# Invented.\nformat = 1\nbase = "nickel-acid"\n')
    mixed = bathkin("today", "nickel-acid", first, str(tank), *FEW)
    assert mixed.code == 2
    assert "expected recipes alone" in mixed.err
    page = bathkin("today", "nickel-acid", first, second, *FEW, "--csv", second)
    assert page.code == 2
    assert Path(second).read_text() == HEAD + SECOND


def test_a_recipe_names_the_files_of_its_bath(
    bathkin: Command, files: tuple[str, str, str], tmp_path: Path
) -> None:
    whole, first, second = files
    tank = tmp_path / "tank.toml"
    head = '# Invented.\nformat = 1\nbase = "nickel-acid"\n[log]\n'
    tank.write_text(f'{head}files = ["march-1.csv", "march-2.csv"]\n')
    assert bk.load_recipe(str(tank)).log_files() == [first, second]
    assert bk.track(str(tank), members=10).dump == bk.track(str(tank), whole, members=10).dump
    assert "after 5 rows" in bathkin("today", str(tank), *FEW).out
    tank.write_text(f'{head}file = "whole.csv"\nfiles = ["march-1.csv"]\n')
    outcome = bathkin("today", str(tank), *FEW)
    assert outcome.code == 2
    assert "log.files" in outcome.err
    assert "not both" in outcome.err


def test_rows_of_one_time_are_one_where_they_hold_other_columns() -> None:
    doses = read(FIRST)
    analyses = read("2026-03-02 10:00,0.27\n2026-03-02 13:00,0.26\n", "timestamp,hypo (mol/L)\n")
    log = bk.join_logs([doses, analyses])
    assert log.columns["time_h"] == [0.0, 2.0, 4.0, 7.0]
    assert log.columns["hypo_mol_l"] == [None, None, 0.27, 0.26]
    assert log.columns["metal_l"] == [0.0, 5.0, 4.6, 0.0]
    assert any(one.effect == "they are of one time" and one.row == 3 for one in log.report)


def test_a_copy_of_the_last_row_is_that_row_and_another_value_is_refused() -> None:
    copied = FIRST.splitlines()[-1] + "\n" + SECOND
    log = bk.join_logs([read(FIRST), read(copied)])
    assert log.columns["metal_l"] == [0.0, 5.0, 4.6, 4.4, 4.8]
    assert log.columns["nickel_g_l"] == read(FIRST + SECOND).columns["nickel_g_l"]
    other = copied.replace("10:00,4.85,4.78,200,4.6", "10:00,4.95,4.78,200,4.1")
    with pytest.raises(bk.DataError) as refused:
        bk.join_logs([read(FIRST), read(other)])
    assert [(one.row, one.column, one.raw) for one in refused.value.problems] == [
        (1, "nickel_g_l", "4.95"),
        (1, "metal_l", "4.1"),
    ]
    assert "row 1, nickel_g_l = 4.95: table, row 3, has 4.85 at the same time" in str(refused.value)


def test_work_since_the_row_before_goes_on_over_rows_of_another_file() -> None:
    analyses = read("2026-03-02 09:00,5.0\n", "timestamp,nickel (g/L)\n")
    mean = bk.join_logs([read(FIRST), analyses])
    assert mean.columns["area_in_tank_dm2"] == [0.0, 200.0, 200.0, 200.0]
    head = "timestamp,area (dm2),minutes\n"
    hung = read("2026-03-02 06:00,0,0\n2026-03-02 08:00,50,40\n2026-03-02 10:00,60,90\n", head)
    log = bk.join_logs([hung, analyses])
    assert log.columns["area_dm2"] == [0.0, 50.0, 60.0, 60.0]
    assert log.columns["plating_min"] == [0.0, 40.0, 60.0, 30.0]
    thick = "timestamp,area (dm2),thickness (um)\n"
    laid = read("2026-03-02 08:00,0,0\n2026-03-02 10:00,60,12\n", thick)
    log = bk.join_logs([laid, read("2026-03-02 09:30,5.0\n", "timestamp,nickel (g/L)\n")])
    assert log.columns["area_dm2"] == [0.0, 45.0, 15.0]
    assert log.columns["thickness_um"] == [0.0, 12.0, 12.0]
    with pytest.raises(bk.DataError, match="has work at that time"):
        bk.join_logs([read(FIRST), read("2026-03-02 09:00,5.0,4.8,100,0\n")])


@pytest.mark.parametrize(
    ("text", "head", "words"),
    [
        ("2026-03-02 12:00,2.1\n", "timestamp,copper (g/L)\n", "log of another bath"),
        ("2026-03-02 12:00,4.9,1200\n", "timestamp,nickel (g/L),volume (L)\n", "volume_l = 1200"),
        ("12,4.9\n", "time (h),nickel (g/L)\n", "hours and no dates"),
    ],
)
def test_the_log_of_another_bath_is_refused(
    bathkin: Command, files: tuple[str, str, str], tmp_path: Path, text: str, head: str, words: str
) -> None:
    other = tmp_path / "other.csv"
    other.write_text(head + text)
    outcome = bathkin("today", "nickel-acid", files[1], str(other), *FEW)
    assert outcome.code == 2
    told = " ".join(outcome.err.split())
    assert words in told
    assert "other.csv" in told


def test_a_file_given_twice_is_refused(bathkin: Command, files: tuple[str, str, str]) -> None:
    outcome = bathkin("today", "nickel-acid", files[1], files[1], *FEW)
    assert outcome.code == 2
    assert "given twice" in outcome.err
