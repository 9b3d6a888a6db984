"""Bath logs read from messy tables. All data is invented."""

from __future__ import annotations

import pickle
from datetime import datetime, timedelta, timezone
from pathlib import Path

import bathkin as bk
import pandas as pd
import pytest
from bathkin import _core
from bathkin.tables.log_headings import log_heading
from bathkin.tables.runs import heading as run_heading

SHEET = """\
# invented
when;T [degF];pH;pH (25 degC);Nickel (oz/gal);sigma nickel;lead_mg_l;area (ft2);plating (h);\
metal addition (mL);water_gal;removed_l;operator
2026-03-04 07:30;190,4;4,82;;0,8;0,01;<0,5;;;;;;ab
2026-03-04 09:30;190,4;4,80;4,95;;;0,7;10;1,5;500;;;

2026-03-04 11:30;190,4;;;0,75;0,01;;10,5;2;450;1;2,5;refill
"""


def sheet(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8-sig")
    return path


def read(text: str, tmp_path: Path) -> bk.Log:
    return bk.read_log(sheet(tmp_path, text))


def refused(text: str, tmp_path: Path) -> bk.DataError:
    with pytest.raises(bk.DataError) as caught:
        read(text, tmp_path)
    assert "log.csv" in str(caught.value)
    return caught.value


def told(log: bk.Log) -> list[tuple[int | None, str, str, str]]:
    return [(one.row, one.column, one.raw, one.taken) for one in log.report]


def test_a_messy_log_is_read_and_every_assumption_listed(tmp_path: Path) -> None:
    log = read(SHEET, tmp_path)
    assert log.start == datetime(2026, 3, 4, 7, 30)
    assert log.rows == [1, 2, 3]
    assert next(iter(log.columns)) == "time_h"
    # By definition: 1 oz/gal = 7.489152 g/L, 1 ft2 = 9.290304 dm2, 1 gal = 3.785411784 L.
    expected = {
        "time_h": [0.0, 2.0, 4.0],
        "temperature_c": [88.0, 88.0, 88.0],
        "ph": [4.82, 4.80, None],
        "ph_25c": [None, 4.95, None],
        "nickel_g_l": [5.991321, None, 5.616864],
        "sigma_nickel_g_l": [0.07489152, None, 0.07489152],
        "lead_mg_l": [None, 0.7, None],
        "below_lead_mg_l": [0.5, None, None],
        "area_dm2": [None, 92.90304, 97.548192],
        "plating_min": [None, 90.0, 120.0],
        "metal_l": [0.0, 0.5, 0.45],
        "water_l": [0.0, 0.0, 3.785411784],
        "removed_l": [0.0, 0.0, 2.5],
    }
    assert list(log.columns) == list(expected)
    for name, cells in expected.items():
        near = [cell if cell is None else pytest.approx(cell, rel=1e-6) for cell in cells]
        assert log.columns[name] == near, name
    assert log.notes == {"operator": ["ab", "", "refill"]}
    assert {
        (None, "", "190,4", "190.4"),
        (None, "T [degF]", "190,4 degF", "88"),
        (None, "Nickel (oz/gal)", "0,8 oz/gal", "5.99132"),
        (None, "Nickel (oz/gal)", "1 empty cell", "empty"),
        (None, "sigma nickel", "sigma nickel", "in the unit of Nickel (oz/gal)"),
        (1, "lead_mg_l", "<0,5", "below detection"),
        (None, "lead_mg_l", "1 empty cell", "empty"),
        (None, "metal addition (mL)", "1 empty cell", "0"),
        (None, "water_gal", "2 empty cells", "0"),
        (None, "removed_l", "2 empty cells", "0"),
        (None, "operator", "operator", "words"),
    } <= set(told(log))
    # The first row has no interval before it that could be told.
    assert not [one for one in log.report if one.column == "area (ft2)" and "empty" in one.raw]


def test_a_log_is_a_value(tmp_path: Path) -> None:
    log = read(SHEET, tmp_path)
    assert pickle.loads(pickle.dumps(log)) == log
    assert pickle.loads(pickle.dumps(log)).start == log.start
    assert len(log) == 3
    assert log.table().shape == (3, 13)
    assert log.digest == read(SHEET, tmp_path).digest
    assert log != read(SHEET.replace("2026-03-04", "2026-03-05"), tmp_path)
    assert log.digest != read(SHEET.replace(";450;", ";451;"), tmp_path).digest
    assert "3 rows from 2026-03-04 07:30" in log.summary()
    assert "nothing was added" in repr(log)
    assert max(map(len, log.summary().splitlines())) <= 100
    assert "<table" in log._repr_html_()
    # What it says can be read again.
    again = bk.read_log(log.table())
    assert again.columns == log.columns


@pytest.mark.parametrize(
    ("text", "name", "unit", "kind"),
    [
        ("time_min", "time_h", "min", "time"),
        ("t [d]", "time_h", "day", "time"),
        ("Elapsed (hours)", "time_h", "h", "time"),
        ("hours", "time_h", "h", "time"),
        ("Date/Time", "time_h", None, "stamp"),
        ("Ni % of set point", "ni_pct_of_set_point", None, "reading"),
        ("Ni (% of set-point)", "ni_pct_of_set_point", None, "reading"),
        ("Nickel (% activity)", "nickel_pct_of_set_point", None, "reading"),
        ("% activity", "metal_pct_of_set_point", None, "reading"),
        ("Activity (%)", "metal_pct_of_set_point", None, "reading"),
        ("hypophosphite_pct_of_set_point", "hypophosphite_pct_of_set_point", None, "reading"),
        ("nickel (mM)", "nickel_mol_l", "mmol/L", "reading"),
        ("Nickel A (mL)", "nickel_a_l", "mL", "in"),
        ("make-up B added (gal)", "make_up_b_l", "gal", "in"),
        ("make-up B (mL/L)", "make_up_b_ml_l", "mL/L", "in"),
        ("Time (hh:mm)", "time_h", None, "clock"),
        ("T_K", "temperature_c", "K", ""),
        ("bath temp (F)", "temperature_c", "degF", ""),
        ("pH", "ph", None, "reading"),
        ("pH @ 25 \u00b0C", "ph_25c", None, "reading"),
        ("ph_25c", "ph_25c", None, "reading"),
        ("plating_min", "plating_min", "min", "interval"),
        ("area_cm2", "area_dm2", "cm2", "interval"),
        ("area in tank (ft2)", "area_in_tank_dm2", "ft2", "interval"),
        ("thickness (mil)", "thickness_um", "mil", "reading"),
        ("deposition (um/min)", "deposition_um_h", "um/min", "reading"),
        ("Hypophosphite [mol/L]", "hypophosphite_mol_l", "mol/L", "reading"),
        ("ortho phosphite (g/L)", "ortho_phosphite_g_l", "g/L", "reading"),
        ("phosphite_g_l", "phosphite_g_l", None, "reading"),
        ("zinc_ppm", "zinc_mg_l", "mg/L", "reading"),
        ("nickel_oz_gal", "nickel_g_l", "oz/gal", "reading"),
        ("phosphorus (wt%)", "phosphorus_wt_pct", None, "reading"),
        ("Specific gravity", "specific_gravity", None, "reading"),
        ("bath volume [gal]", "volume_l", "gal", "reading"),
        ("metal_ml", "metal_l", "mL", "in"),
        ("added reductant (L)", "reductant_l", "L", "in"),
        ("addition of ammonia (mL)", "ammonia_l", "mL", "in"),
        ("metal replenisher added (gal)", "metal_l", "gal", "in"),
        ("ph_ml", "ph_l", "mL", "in"),
        ("pH addition (mL)", "ph_l", "mL", "in"),
        ("ph_ml_l", "ph_ml_l", None, "in"),
        ("metal_ml_l", "metal_ml_l", None, "in"),
        ("stabilizer add [mL/L]", "stabilizer_ml_l", "mL/L", "in"),
        ("water_l", "water_l", None, "in"),
        ("bath removed (gal)", "removed_l", "gal", "out"),
        ("sigma_ph", "sigma_ph", None, "sigma"),
        ("sigma nickel (oz/gal)", "sigma_nickel_g_l", "oz/gal", "sigma"),
        ("Comments", "", None, ""),
    ],
)
def test_headings_people_write(text: str, name: str, unit: str | None, kind: str) -> None:
    head = log_heading("log.csv", text)
    assert (head.name, head.unit, head.kind) == (name, unit, kind)


def test_every_spelling_of_the_dictionary_heads_a_column() -> None:
    readings = _core.reading_headings()
    assert {name for name, *_ in readings} >= {"mass_gain_mg", "specific_gravity", "volume_l"}
    for name, unit, in_logs, of_coupons in readings:
        brackets = f" ({unit})" if unit else ""
        for spelled in in_logs:
            assert log_heading("log.csv", spelled + brackets).name == name
        for spelled in of_coupons:
            assert run_heading("runs.csv", spelled + brackets).name == name


def test_a_mass_of_a_log_may_be_anything() -> None:
    with pytest.raises(bk.DataError, match="expected a unit such as"):
        log_heading("log.csv", "mass (g)")


@pytest.mark.parametrize(
    ("cells", "hours", "assumed"),
    [
        (["2026-03-04T07:30", "2026-03-04 08:00:30"], 0.5083333333, ""),
        (["2026-03-04T07:30Z", "2026-03-04T10:30+01:00"], 2.0, ""),
        (["04.03.2026 07:30", "05.03.2026 7:30"], 24.0, "day.month.year: 2026-03-04 07:30"),
        (["2026/03/04 07:30", "2026/03/04 08:30"], 1.0, "year, month, day: 2026-03-04 07:30"),
        (
            ["3/4/2026 7:30 AM", "3/14/2026 12:30 PM"],
            245.0,
            "month/day/year as row 2 tells: 2026-03-04 07:30",
        ),
        (
            ["03-04-2026 07:30", "13-04-2026 07:30"],
            240.0,
            "day-month-year as row 2 tells: 2026-04-03 07:30",
        ),
        (["03/03/2026 07:30", "04/04/2026 07:30"], 768.0, ""),
        (["2026-03-04", "2026-03-06"], 48.0, "midnight"),
    ],
)
def test_timestamps(tmp_path: Path, cells: list[str], hours: float, assumed: str) -> None:
    log = read(f"timestamp,ph\n{cells[0]},4.8\n{cells[1]},4.8\n", tmp_path)
    assert log.columns["time_h"] == [0.0, pytest.approx(hours)]
    assert [one.taken for one in log.report] == ([assumed] if assumed else [])


def test_a_day_and_a_time_of_the_day_are_one_timestamp(tmp_path: Path) -> None:
    log = read("Date;Time;pH\n04.03.2026;07:30;4,8\n04.03.2026;19:30;4,7\n", tmp_path)
    assert log.columns["time_h"] == [0.0, 12.0]
    assert (None, "Date and Time", "04.03.2026 07:30", "one timestamp") in told(log)
    error = refused("Date;Time;pH\n04.03.2026;07:30;4,8\n04.03.2026;;4,7\n", tmp_path)
    assert (error.row, error.column) == (2, "Time")
    # A time that has its date needs no other column.
    log = read("Time,pH\n2026-03-04 07:30,4.8\n", tmp_path)
    assert log.start == datetime(2026, 3, 4, 7, 30)


def test_tables_of_pandas() -> None:
    times = pd.to_datetime(["2026-03-04 07:30", "2026-03-04 13:30"])
    frame = pd.DataFrame({"nickel_g_l": [6.0, None], "metal_ml": [pd.NA, 300]}, index=times)
    log = bk.read_log(frame)
    assert log.columns == {
        "time_h": [0.0, 6.0],
        "nickel_g_l": [6.0, None],
        "metal_l": [0.0, 0.3],
    }
    assert log.start == datetime(2026, 3, 4, 7, 30)
    zoned = bk.read_log(frame.tz_localize("UTC"))
    assert zoned.start == datetime(2026, 3, 4, 7, 30, tzinfo=timezone(timedelta(0)))


@pytest.mark.parametrize(
    ("text", "row", "raw", "words"),
    [
        ("time_h,ph\n0,4.8\n,4.7\n", 2, "", "a time in every row"),
        ("when,ph\n2026-03-04 07:30,4.8\n,4.7\n", 2, "", "in every row"),
        ("time_h,ph\n0,4.8\n5,4.7\n3,4.7\n", 3, "3", "a time after row 2, 5: it is before"),
        ("time_h,ph\n0,4.8\n5,4.7\n5,4.8\n", 3, "5", "it is the time of that row; make them one"),
        (
            "when,ph\n2026-03-05,4.8\n2026-03-04,4.7\n",
            2,
            "2026-03-04",
            "a time after row 1, 2026-03-05",
        ),
        ("when,ph\n3/3/2026,4\n3/4/2026,4\n", 2, "3/4/2026", "whether the day or the month"),
        ("when,ph\n13/4/2026,4\n3/14/2026,4\n", 2, "3/14/2026", "in the order of 13/4/2026"),
        ("when,ph\n03.13.2026,4\n", 1, "03.13.2026", "a date and time such as"),
        ("when,ph\n04.03.26,4\n", 1, "04.03.26", "a date and time such as"),
        ("when,ph\n2026-02-30,4\n", 1, "2026-02-30", "a date and time such as"),
        ("when,ph\n2026-03-04 25:00,4\n", 1, "2026-03-04 25:00", "a date and time such as"),
        ("when,ph\n3/14/2026 13:00 PM,4\n", 1, "3/14/2026 13:00 PM", "a date and time such as"),
        ("when,ph\n46085.3125,4\n", 1, "46085.3125", "a spreadsheet"),
        ("when,ph\n2026-03-04,4\n05.03.2026,4\n", 2, "05.03.2026", "form of the rows above"),
        ("when,ph\n2026-03-04 07:30,4\n2026-03-05,4\n", 2, "2026-03-05", "a time of day in every"),
        (
            "when,ph\n2026-03-04T07:30Z,4\n2026-03-05T07:30,4\n",
            2,
            "2026-03-05T07:30",
            "a time zone in every row",
        ),
        ("time_h,ph\n0,88\n", 1, "88", "pH between 0 and 14"),
        ("time_h,ph_25c\n0,48\n", 1, "48", "pH between 0 and 14"),
        ("time_h,temperature_c\n0,190\n", 1, "190", "degF"),
        ("time_h,nickel_g_l\n0,x\n", 1, "x", "a concentration in g/L"),
        ("time_h,nickel_g_l\n0,1e999\n", 1, "1e999", "a number"),
        ("time_h,nickel_g_l\n0,6 mol\n", 1, "6 mol", "a concentration in g/L"),
        ("time_h,nickel_g_l\n0,-6\n", 1, "-6", "zero or more"),
        ("time_h;nickel_g_l;ph\n0;5,6;4.8\n", 1, "4.8", "rows above"),
        ("time_h;lead_mg_l;ph\n0;<0,5;4.8\n", 1, "4.8", "rows above"),
        ("time_h;metal_ml\n0;1,250\n", 1, "1,250", "thousands"),
        ("time_h,metal_ml\n0,-5\n", 1, "-5", "zero or more"),
        ("time_h,metal_ml\n0,<5\n", 1, "<5", "a volume in L"),
        ("time_h,removed_l\n0,-5\n", 1, "-5", "zero or more"),
        ("time_h,area_in_tank_dm2\n0,\n1,-5\n", 2, "-5", "zero or more"),
        ("time_h,plating_min\n0,\n1,90\n", 2, "90", "at most the 60 min since the row before"),
        ("time_h,ph,sigma_ph\n0,4.8,0\n", 1, "0", "above zero"),
        ("time_h,specific_gravity\n0,14\n", 1, "14", "degrees Baume"),
    ],
)
def test_refusals_name_row_and_raw_text(
    tmp_path: Path, text: str, row: int, raw: str, words: str
) -> None:
    error = refused(text, tmp_path)
    assert (error.row, error.raw) == (row, raw)
    assert words in str(error)


@pytest.mark.parametrize(
    ("header", "words"),
    [
        ("ph,nickel_g_l", "no column says when: expected one, time_h or timestamp"),
        ("time_h,timestamp", "time_h and timestamp say when: expected one"),
        ("time_h,time_min", "both time_h"),
        ("time,ph", "it has no unit: expected time_h"),
        ("time_h,temperature", "temperature_c"),
        ("time_h,nickel (stone/gal)", "expected a unit such as g/L"),
        ("time_h,metal addition", "it has no unit: expected one of metal_ml"),
        ("time_h,additions (mL)", "the solution that was added, such as metal_ml"),
        ("time_h,metal_ml,metal_l", "both metal_l"),
        ("time_h,pH (40 C)", "ph_25c for a cooled sample"),
        ("time_h,temperature_c,sigma_temperature_c", "it takes no sigma"),
        ("time_h,ph,sigma_nickel_g_l", "expected sigma of a reading: sigma_ph"),
        ("time_h,metal_l,sigma_metal_l", "expected sigma of a reading"),
        ("time_h,note,note", "both note"),
        ("time_h,sigma", "expected sigma of a reading"),
    ],
)
def test_headings_that_cannot_be_used(tmp_path: Path, header: str, words: str) -> None:
    row = ",".join("1" for _ in header.split(","))
    assert words in str(refused(f"{header}\n{row}\n", tmp_path))


def test_a_long_gap_is_told(tmp_path: Path) -> None:
    hours = [0, 8, 16, 24, 105, 113]
    log = read("time_h,ph\n" + "".join(f"{hour},4.8\n" for hour in hours), tmp_path)
    (gap,) = log.report
    assert (gap.row, gap.raw) == (5, "105")
    assert gap.taken == "one interval of 81 h, 8 h being usual"
    assert gap.effect == "the bath is carried across it as if nothing happened"
    # Ten times as long is not longer.
    hours[4:] = [104, 112]
    assert not read("time_h,ph\n" + "".join(f"{hour},4.8\n" for hour in hours), tmp_path).report


def test_one_value_far_from_the_others_is_doubted_and_stays(tmp_path: Path) -> None:
    cells = [5.8, 5.6, 590, 5.7, 5.9]
    rows = "".join(f"{hour},{cell}\n" for hour, cell in enumerate(cells))
    log = read("time_h,nickel_g_l\n" + rows, tmp_path)
    assert log.columns["nickel_g_l"] == cells
    (warning,) = log.report
    assert (warning.row, warning.raw, warning.taken) == (3, "590", "it stands")
    assert warning.effect == "doubtful: the median of the column is 5.8"
    # Four readings are too few to say, and a by-product that was not there is none.
    few = read("time_h,nickel_g_l\n" + "".join(rows.splitlines(keepends=True)[:4]), tmp_path)
    assert not few.report
    grown = read("time_h,orthophosphite_g_l\n0,0\n1,20\n2,40\n3,60\n4,80\n", tmp_path)
    assert not grown.report


def test_work_before_the_first_row_is_told(tmp_path: Path) -> None:
    log = read("time_h,area_dm2,plating_min\n0,40,60\n1,40,60\n2,,30\n", tmp_path)
    assert (1, "area_dm2", "40", "it stands") in told(log)
    assert (1, "plating_min", "60", "it stands") in told(log)
    assert (None, "area_dm2", "1 empty cell", "empty") in told(log)


def test_limits_of_detection_have_one_column(tmp_path: Path) -> None:
    log = read("time_h,lead (g/L)\n0,< 0.5 mg/L\n1,0.001\n", tmp_path)
    assert log.columns["lead_g_l"] == [None, 0.001]
    assert log.columns["below_lead_g_l"] == [pytest.approx(5e-4), None]
    text = "time_h,below_lead_mg_l,lead_mg_l\n0,,<0.5\n"
    assert "limits of detection stand in" in str(refused(text, tmp_path))


def test_a_percentage_without_a_kind_is_told(tmp_path: Path) -> None:
    log = read("time_h,phosphorus (%)\n0,10.5\n", tmp_path)
    assert log.columns["phosphorus_wt_pct"] == [10.5]
    assert (None, "phosphorus (%)", "phosphorus (%)", "weight per cent of the deposit") in told(log)
