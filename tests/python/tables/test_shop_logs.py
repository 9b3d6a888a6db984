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


def test_late_results_stand_at_the_row_of_their_sample(tmp_path: Path) -> None:
    late = (
        "when,nickel_g_l,ph,metal_l,sampled\n2026-03-04 06:00,6,4.8,,\n2026-03-04 14:00,,4.7,1,\n"
        "2026-03-04 22:00,,4.7,1,\n2026-03-05 06:00,5.4,,,2026-03-04 15:30\n"
    )
    at_once = late.replace("14:00,,", "14:00,5.4,").replace(
        "06:00,5.4,,,2026-03-04 15:30", "06:00,,,,"
    )
    log, prompt = bk.read_log(sheet(tmp_path, late)), bk.read_log(sheet(tmp_path, at_once))
    # The same numbers, so the same answer to the last digit.
    assert log.columns == prompt.columns
    assert log.columns["nickel_g_l"] == [6.0, 5.4, None, None]
    told = [(one.row, one.taken, one.effect) for one in log.report if one.column == "sampled"]
    assert told == [(4, "row 2", "nickel_g_l read at that row")]
    for wrong, expected in (
        ("2026-03-05 15:30", "a time from the first row to this one"),
        ("2026-03-01 15:30", "a time from the first row to this one"),
        ("later", "a time written as those of the rows"),
        ("2026-03-04 07:30", "the time of a row without nickel_g_l: row 1 has one"),
    ):
        error = refused(late.replace("2026-03-04 15:30", wrong), tmp_path)
        assert expected in str(error)
        assert (error.row, error.raw) == (4, wrong)
    hours = bk.read_log(
        pd.DataFrame({"time_h": [0, 8, 16], "ph": [5, None, 4], "sampled": ["", "", 9]})
    )
    assert hours.columns["ph"] == [5.0, 4.0, None]


@pytest.mark.filterwarnings("ignore")
def test_marks_and_turnovers_of_a_log(tmp_path: Path) -> None:
    text = "time_h,ph,MTO,ph_calibrated\n0,4.8,2.5,\n8,4.7,,yes\n16,4.7,,0.03\n24,4.7,,no\n"
    log = bk.read_log(sheet(tmp_path, text))
    assert log.columns["turnovers"] == [2.5, None, None, None]
    assert log.columns["electrode_calibrated"] == [None, 1.0, 1.0, None]
    assert "expected yes, x or 1, or nothing" in str(refused(text.replace("yes", "soon"), tmp_path))
    checked = bk.check_log(bk.load_recipe("nickel-acid"), sheet(tmp_path, text))
    assert [one.what for one in checked.columns][2:] == [
        "turnovers before the first row",
        "the pH electrode was calibrated",
    ]
    fit = bk.fit(bk.load_recipe("nickel-acid"), log, ["deposition.rate_mol_m2_s"])
    codes = {one.code: one.text for one in fit.remarks}
    assert "a used bath, turnovers 2.500 in its first row" in codes["log-start"]
    assert "calibrated at row 2, 3" in codes["log-calibrated"]


def test_a_row_in_the_future_is_told(tmp_path: Path) -> None:
    text = "when,nickel_g_l\n2026-03-04 06:00,6\n2999-03-04 14:00,5\n2999-03-05 14:00,5\n"
    log = bk.read_log(sheet(tmp_path, text))
    told = [one.row for one in log.report if "lies in the future" in one.effect]
    assert told == [2]


def test_racks_of_a_log_by_the_clock(tmp_path: Path) -> None:
    text = (
        "timestamp,part,in,out,area (dm2),nickel (g/L)\n"
        "2026-03-02 06:00,,,,,6.0\n"
        "2026-03-02 08:00,bracket 7,06:30,07:45,120,5.5\n"
        "2026-03-02 22:00,sleeve,21:10,,80,5.4\n"
        "2026-03-03 06:00,sleeve,23:30,01:00,80,5.2\n"
        "2026-03-03 08:00,long,2026-03-02 23:00,2026-03-03 07:00,40,5.1\n"
    ).replace("21:10,,", "21:10,21:55,")
    log = bk.read_log(sheet(tmp_path, text))
    assert log.columns["rack_in_h"] == [None, 0.5, pytest.approx(15.0 + 1 / 6), 17.5, 17.0]
    assert log.columns["rack_out_h"] == [None, 1.75, pytest.approx(15.0 + 11 / 12), 19.0, 25.0]
    assert log.notes["part"][1] == "bracket 7"
    assert ("in", "06:30") in [(one.column, one.raw) for one in log.report]
    checked = bk.check_log(bk.load_recipe("nickel-acid"), sheet(tmp_path, text))
    assert [one.text for one in checked.problems] == []
    # One end and how long; what is written of one end alone is refused with what is missing.
    minutes = text.replace("in,out,", "in,minutes,")
    for time, long in (
        ("07:45", "75"),
        ("21:55", "45"),
        ("01:00", "90"),
        ("2026-03-03 07:00", "480"),
    ):
        minutes = minutes.replace(f",{time},", f",{long},")
    again = bk.read_log(sheet(tmp_path, minutes))
    assert again.columns["plating_min"] == [None, 75.0, 45.0, 90.0, 480.0]
    assert again.columns["rack_in_h"] == log.columns["rack_in_h"]
    missing = bk.check_log(
        bk.load_recipe("nickel-acid"), sheet(tmp_path, text.replace(",07:45,", ",,"))
    )
    assert [(one.row, one.column) for one in missing.problems] == [(2, "out")]
    assert "when the rack came out, or plating_min" in missing.problems[0].text
    assert "row 2, in = 6 30: expected a time" in str(
        refused(text.replace("06:30", "6 30"), tmp_path)
    )


def test_bare_minutes_beside_an_area_are_its_minutes(tmp_path: Path) -> None:
    text = "when,area (dm2),minutes,nickel (g/L)\n2026-03-02 06:00,,,6\n2026-03-02 08:00,120,75,5\n"
    log = bk.read_log(sheet(tmp_path, text))
    assert log.columns["plating_min"] == [None, 75.0]
    assert log.columns["time_h"] == [0.0, 2.0]


def test_not_detected_asks_for_the_limit(tmp_path: Path) -> None:
    text = "time_h,lead (mg/L)\n0,n.d.\n1,< LOD\n2,<0.05\n"
    error = refused(text, tmp_path)
    assert [one.row for one in error.problems] == [1, 2]
    assert "expected the limit that it is below, such as <0.05" in str(error)
