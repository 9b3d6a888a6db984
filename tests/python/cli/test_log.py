"""`bathkin log`: how a sheet is read, and an empty one. All data is invented."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pytest

SHEET = """\
timestamp;T (degF);pH;Ni (% of set point);Nickel (oz/gal);lactat (g/L);metal addition (mL);operator
2026-03-04 07:30;190;4,8;100,5;;30;;ab
2026-03-04 09:30;190;abc;95,5;;30;500;ab
2026-03-04 08:30;190;4,8;95,5;0,8;30;500;ab
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "log.csv"
    path.write_text(SHEET, encoding="cp1252")
    return path


def test_every_heading_and_every_problem_are_told_at_once(
    sheet: Path, bathkin: Callable[..., Any]
) -> None:
    outcome = bathkin("log", "check", "nickel-acid", str(sheet))
    assert outcome.code == 2
    assert "3 problems: the log cannot be used as it stands" in outcome.err
    for line in (
        "Nickel (oz/gal) nickel_g_l oz/gal reading: nickel",
        "metal addition (mL) metal_l mL added: nickel replenisher",
        "lactat (g/L) not read",
        "- row 2, pH = abc: expected a number",
        "- row 3, timestamp = 2026-03-04 08:30: expected a time after row 2",
        "did you mean lactate_mol_l",
        "decimal comma in the whole file",
    ):
        assert line in " ".join(outcome.out.split()), line
    assert max(map(len, outcome.out.splitlines())) <= 100


def test_the_check_is_one_document(sheet: Path, bathkin: Callable[..., Any]) -> None:
    outcome = bathkin("log", "check", "nickel-acid", str(sheet), "--json")
    found = json.loads(outcome.out)
    assert (outcome.code, found["command"], found["rows"]) == (2, "log check", 3)
    named = {one["heading"]: one["name"] for one in found["columns"]}
    assert named["Ni (% of set point)"] == "ni_pct_of_set_point"
    assert [one["is_read"] for one in found["columns"]].count(False) == 1
    assert {(one["row"], one["column"]) for one in found["problems"]} == {
        (2, "pH"),
        (3, "timestamp"),
        (None, "lactat (g/L)"),
    }


def test_a_map_is_written_pasted_and_used(
    sheet: Path, tmp_path: Path, bathkin: Callable[..., Any]
) -> None:
    out = tmp_path / "columns.toml"
    run = ("log", "check", "nickel-acid", str(sheet), "--write-map", str(out))
    assert bathkin(*run).code == 2
    text = out.read_text(encoding="utf-8")
    assert '"Ni (% of set point)" = "ni_pct_of_set_point"\n' in text
    assert '# "lactat (g/L)" = "?"\n' in text
    # Never over a file that is there.
    again = bathkin(*run)
    assert again.code == 2
    assert "that file is there: expected a new one" in again.err
    assert out.read_text(encoding="utf-8") == text
    filled = text.replace('# "lactat (g/L)" = "?"', '"lactat (g/L)" = "lactic_acid_g_l"')
    own = tmp_path / "own.toml"
    own.write_text('format = 1\nbase = "nickel-acid"\n' + filled, encoding="utf-8")
    checked = bk.check_log(bk.load_recipe(own), sheet)
    assert all(one.is_read for one in checked.columns)
    named = {one.heading: one.name for one in checked.columns}
    assert named["lactat (g/L)"] == "lactic_acid_g_l"
    assert named["Nickel (oz/gal)"] == "nickel_g_l"


def test_a_good_log_has_no_problem(tmp_path: Path, bathkin: Callable[..., Any]) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time_h,nickel_g_l,metal_l\n0,6,\n2,5.9,1\n", encoding="utf-8")
    outcome = bathkin("log", "check", "nickel-acid", str(path))
    assert (outcome.code, outcome.err) == (0, "")
    assert "problems" not in outcome.out
    bk.check_log(bk.load_recipe("nickel-acid"), path).refuse_any()
    refused = bathkin("log", "check", "nickel-acid", str(path), "--sheet", "March")
    assert "a text file has no sheet 'March'" in refused.err


@pytest.mark.parametrize("name", bk.recipes())
def test_an_empty_log_is_read_as_it_stands(name: str, tmp_path: Path) -> None:
    recipe = bk.load_recipe(name)
    for file in ("log.csv", "log.xlsx"):
        path = bk.new_log(recipe, tmp_path / file)
        checked = bk.check_log(recipe, path)
        assert all(one.is_read for one in checked.columns), checked
        # The example is refused, and nothing else is wrong with it.
        assert [(one.row, one.column) for one in checked.problems] == [(1, "note")]
        with pytest.raises(bk.DataError, match="this is the example of an empty sheet"):
            bk.read_log(path, recipe)
        with pytest.raises(bk.RecipeError, match="that file is there"):
            bk.new_log(recipe, path)
    text = (tmp_path / "log.csv").read_text(encoding="utf-8-sig")
    own = tmp_path / "own.csv"
    own.write_text(text.replace("EXAMPLE: write over this row", "first"), encoding="utf-8")
    bk.check_log(recipe, own).refuse_any()


def test_an_empty_log_from_the_command_line(tmp_path: Path, bathkin: Callable[..., Any]) -> None:
    out = tmp_path / "log.xlsx"
    assert bathkin("log", "new", "nickel-acid", "--out", str(out)).code == 0
    before = out.read_bytes()
    again = bathkin("log", "new", "nickel-acid", "--out", str(out))
    assert (again.code, out.read_bytes()) == (2, before)
    assert "that file is there" in again.err
    printed = bathkin("log", "new", "nickel-acid").out.splitlines()[0].split(",")
    assert printed[:4] == ["timestamp", "temperature_c", "ph", "nickel_g_l"]
    assert "nickel replenisher (L)" in printed
    assert "sodium_hypophosphite_monohydrate_g_l" in printed
    other = bathkin("log", "new", "nickel-acid", "--out", str(tmp_path / "log.pdf"))
    assert other.code == 2
    racks = bathkin("log", "new", "nickel-acid", "--json", "--set", "tank.volume_l=300")
    assert json.loads(racks.out)["columns"][0]["heading"] == "timestamp"
