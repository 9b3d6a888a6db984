"""A log whose rows have the sum of what was added in a shift: that of `support/shifts.py`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pytest
from support import Outcome
from support.shifts import HEAD, RECIPE, ROWS

Command = Callable[..., Outcome]
FEW = ("--members", "10")
SINCE = 'additions = "since-the-row-before"'


@pytest.fixture
def recipe(tmp_path: Path) -> Path:
    (tmp_path / "shifts.csv").write_text(HEAD + ROWS)
    path = tmp_path / "line-1.toml"
    path.write_text(RECIPE)
    return path


def ph_expected(track: bk.Track) -> list[float]:
    readings = (one for row in track.rows for one in row.readings)
    return [one.expected for one in readings if one.column == "ph"]


def test_the_sum_of_a_shift_is_followed_with_the_word_for_it(recipe: Path) -> None:
    with pytest.warns(bk.BathkinWarning, match="since-the-row-before"):
        at_once = bk.track(str(recipe), members=10)
    assert max(abs(ph - 4.80) for ph in ph_expected(at_once)) > 0.5
    recipe.write_text(RECIPE + SINCE + "\n")
    since = bk.track(str(recipe), members=10)
    assert ph_expected(since) == pytest.approx([4.80] * 5, abs=0.05)
    assert not since.findings


def test_the_base_of_a_shift_in_one_row_is_a_warning(bathkin: Command, recipe: Path) -> None:
    outcome = bathkin("today", str(recipe), *FEW)
    told = " ".join((outcome.out + outcome.err).split())
    assert "row 2, poured in at once with 0.962 L of sodium hydroxide 200 g/L" in told
    assert SINCE in told
    checked = bathkin("log", "check", str(recipe), str(recipe.parent / "shifts.csv"))
    assert SINCE in " ".join((checked.out + checked.err).split())
    recipe.write_text(RECIPE + SINCE + "\n")
    outcome = bathkin("today", str(recipe), *FEW)
    assert outcome.code == 0, outcome.err
    told = " ".join((outcome.out + outcome.err).split())
    assert "at once" not in told
    assert "must be dumped" in told


def test_what_the_first_row_has_is_a_warning(bathkin: Command, recipe: Path) -> None:
    recipe.write_text(RECIPE + SINCE + "\n")
    log = recipe.parent / "shifts.csv"
    log.write_text(HEAD + ROWS.replace("4.80,0,0,0,0", "4.80,0,2.5,0,0"))
    outcome = bathkin("today", str(recipe), *FEW)
    assert outcome.code == 0, outcome.err
    told = " ".join((outcome.out + outcome.err).split())
    assert "the additions of row 1 (2.50 L of nickel replenisher) went in before it" in told


def test_another_word_is_refused(bathkin: Command, recipe: Path) -> None:
    outcome = bathkin("today", str(recipe), "--set", "log.additions=at-once", *FEW)
    assert outcome.code == 2
    assert "log.additions" in outcome.err
    assert "since-the-row-before" in outcome.err
