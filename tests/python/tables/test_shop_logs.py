"""Logs in the words of a shop, and what is wrong with one in one answer. All data is invented."""

from __future__ import annotations

from pathlib import Path

import bathkin as bk
import pandas as pd
import pytest


def sheet(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8-sig")
    return path


def refused(text: str, tmp_path: Path) -> bk.DataError:
    with pytest.raises(bk.DataError) as caught:
        bk.read_log(sheet(tmp_path, text))
    return caught.value


def test_all_problems_of_a_log_are_one_answer(tmp_path: Path) -> None:
    rows = [f"2026-03-{4 + row:02} 07:30,4.8,5.{row},{row}" for row in range(12)]
    rows[1] = "2026-03-01 07:30,4.8,5.2,1"
    rows[6] = "2026-03-10 07:30,48,5.1,1"
    rows[8] = "not yet,4.8,5.1,1"
    rows[11] = "2026-03-15 07:30,4.8,abc,1"
    text = "timestamp,pH,nickel (g/L),thickness\n" + "\n".join(rows) + "\n"
    error = refused(text, tmp_path)
    assert str(error).splitlines()[0].endswith("log.csv: 5 problems:")
    found = [(one.row, one.column, one.raw) for one in error.problems]
    assert found == [
        (None, "thickness", None),
        (9, "timestamp", "not yet"),
        (7, "pH", "48"),
        (12, "nickel (g/L)", "abc"),
        (2, "timestamp", "2026-03-01 07:30"),
    ]
    assert "row 12, nickel (g/L) = abc: expected a number" in str(error)


def test_twenty_problems_are_named_and_the_rest_counted(tmp_path: Path) -> None:
    rows = "".join(f"{row},x\n" for row in range(30))
    error = refused(f"time_h,nickel_g_l\n{rows}", tmp_path)
    assert len(error.problems) == 30
    assert str(error).splitlines()[-1] == "  and 10 more"
    assert len(str(error).splitlines()) == 22


def test_problems_of_a_log_under_a_recipe_are_one_answer() -> None:
    table = pd.DataFrame({"time_h": [0, 1], "nickle_g_l": [6, 5], "nickel_g_l": [6, 500]})
    with pytest.raises(bk.DataError) as caught:
        bk.fit(bk.load_recipe("nickel-acid"), bk.read_log(table), ["deposition.rate_mol_m2_s"])
    assert [one.row for one in caught.value.problems] == [None, 2]
    assert "did you mean nickel_g_l" in str(caught.value)


def test_headings_are_read_as_the_recipe_says(tmp_path: Path) -> None:
    text = (
        "Tag;Uhrzeit;Ni-Geh. % Soll;Ergänzer A [l];Bad Nr. 7\n"
        "04.03.2026;07:30;100,5;;x\n04.03.2026;09:30;95,5;0,5;\n"
    )
    headings = {
        "Tag": "date",
        "Uhrzeit": "time",
        "ni-geh. %  soll": "nickel_pct_of_set_point",
        "Ergänzer A [l]": "metal (L)",
        "Bad Nr. 7": "",
    }
    recipe = bk.load_recipe("nickel-acid")
    for heading, read_as in headings.items():
        recipe = recipe.set(f"log.columns.{heading}", read_as)
    path = sheet(tmp_path, text)
    log = bk.read_log(path, recipe)
    assert log.columns == {
        "time_h": [0.0, 2.0],
        "nickel_pct_of_set_point": [100.5, 95.5],
        "metal_l": [0.0, 0.5],
    }
    assert log.notes == {"Bad Nr. 7": ["x", ""]}
    taken = {(one.column, one.taken) for one in log.report}
    assert ("Ergänzer A [l]", "metal (L), as [log.columns] says") in taken
    with pytest.raises(bk.DataError) as caught:
        bk.read_log(path)
    assert len(caught.value.problems) >= 2
