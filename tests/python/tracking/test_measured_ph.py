"""A log whose measured pH is the course of the bath: that of `support/shifts.py`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pytest
from support import Outcome, shifts

Command = Callable[..., Outcome]
FEW = ("--members", "10")
RECIPE = f"""\
{shifts.RECIPE}additions = "since-the-row-before"
ph = "as measured"
"""
HEAD, ROWS = shifts.without_corrector(shifts.HEAD), shifts.without_corrector(shifts.ROWS)
# What the pump of that bath took, L.
TOOK_L = [0.962, 0.951, 0.940, 0.929]


@pytest.fixture
def recipe(tmp_path: Path) -> Path:
    (tmp_path / "shifts.csv").write_text(HEAD + ROWS)
    path = tmp_path / "line-1.toml"
    path.write_text(RECIPE)
    return path


def test_the_litres_of_base_are_a_result(recipe: Path) -> None:
    found = bk.track(str(recipe), members=10)
    of = found.ph_corrector
    assert of is not None
    assert of.name == "sodium hydroxide 200 g/L"
    assert of.needed_l == pytest.approx(sum(TOOK_L), rel=0.02)
    assert of.logged_l is None
    table = found.table()
    assert table["ph_corrector_l"].tolist()[1:] == pytest.approx(TOOK_L, rel=0.05)
    assert "ph" not in table
    assert found["ph"].value == pytest.approx(4.80, abs=0.03)
    assert bk.track(str(recipe), members=10).to_dict()["ph_corrector"] == of.to_dict()


def test_they_stand_beside_those_of_the_log(bathkin: Command, recipe: Path, tmp_path: Path) -> None:
    lines = (HEAD + ROWS).splitlines()
    written = ["ph added (L)", "0", "0.9", "0.9", "0.9", "0.9"]
    text = "\n".join(f"{line},{cell}" for line, cell in zip(lines, written, strict=True))
    (recipe.parent / "shifts.csv").write_text(text)
    page = tmp_path / "page.html"
    outcome = bathkin("today", str(recipe), *FEW, "--report", str(page))
    assert outcome.code == 0, outcome.err
    for told in (outcome.out, page.read_text(encoding="utf-8")):
        words = " ".join(told.split())
        assert "the measured pH took 3.7" in words
        assert "of sodium hydroxide 200 g/L from the first row to the last" in words
        assert "the log has 3.6 L as added" in words
    assert "log.ph" in " ".join(outcome.out.split())
    compared = bathkin("today", str(recipe), "--set", "log.ph=compared", *FEW)
    assert "the measured pH took" not in " ".join(compared.out.split())


def test_a_shift_sheet_and_a_fit_follow_it_too(bathkin: Command, recipe: Path) -> None:
    log = str(recipe.parent / "shifts.csv")
    sheet = bathkin("plan", str(recipe), "--from", log)
    assert sheet.code == 0, sheet.err
    free = ("--free", "deposition.rate_mol_m2_s")
    fitted = bathkin("fit", str(recipe), "--log", log, *free)
    assert fitted.code == 0, fitted.err
    assert "the pH follows its readings" in " ".join(fitted.out.split())


def test_without_a_course_it_is_refused(bathkin: Command, recipe: Path) -> None:
    log = recipe.parent / "shifts.csv"
    log.write_text((HEAD + ROWS).replace("4.80,15", ",15"))
    outcome = bathkin("today", str(recipe), *FEW)
    assert outcome.code == 2
    told = " ".join(outcome.err.split())
    assert "shifts.csv: ph has 1 rows with a value" in told
    assert 'ph = "compared"' in told
    log.write_text((HEAD + ROWS).replace("pH,", "note,"))
    outcome = bathkin("today", str(recipe), *FEW)
    assert outcome.code == 2
    assert "no column of a pH" in " ".join(outcome.err.split())
    outcome = bathkin("today", str(recipe), "--set", "log.ph=measured", *FEW)
    assert outcome.code == 2
    assert "log.ph" in outcome.err
    assert "as measured" in outcome.err
