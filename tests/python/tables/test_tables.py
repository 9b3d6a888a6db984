"""Files as people save them, headings as they write them; data is invented."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest
from bathkin.tables.headings import bracketed

Command = Callable[..., Any]
TEXT = "T [\u00b0C];rate [\u00b5m/h];note\n80;12,5;gr\u00fcn\n85;14,5;\n"


def effects(runs: bk.Runs) -> str:
    return " ".join(f"{one.taken} ({one.effect})" for one in runs.report)


@pytest.mark.parametrize(
    ("encoding", "told"),
    [
        ("utf-8", ""),
        ("utf-8-sig", ""),
        ("cp1252", "Windows-1252"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
    ],
)
def test_letters_of_a_file_are_told(tmp_path: Path, encoding: str, told: str) -> None:
    path = tmp_path / "runs.csv"
    path.write_bytes(TEXT.encode(encoding))
    runs = bk.read_runs(path)
    assert runs.columns == {"temperature_c": [80, 85], "deposition_um_h": [12.5, 14.5]}
    assert runs.notes["note"] == ["gr\u00fcn", ""]
    assert (told in effects(runs)) if told else ("1252" not in effects(runs))


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "runs.csv"
    path.write_bytes(bytes(range(256)) * 4)
    with pytest.raises(bk.DataError, match="expected a text file in UTF-8, UTF-16 or Windows-1252"):
        bk.read_runs(path)
    path.write_bytes(b"PK\x03\x04 no workbook")
    with pytest.raises(
        bk.DataError, match=r"cannot be read as a workbook.*save it as xlsx or as CSV"
    ):
        bk.read_runs(path)


def workbook(path: Path, rows: list[list[str]], sheets: int = 1) -> Path:
    """A workbook with cells as XML, its first rows empty; cells of style 1 are dates."""
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    numbers = range(1, sheets + 1)
    names = "".join(f'<sheet name="S{n}" sheetId="{n}" r:id="r{n}"/>' for n in numbers)
    links = "".join(
        f'<Relationship Id="r{n}" Type="{office}/worksheet" Target="worksheets/sheet{n}.xml"/>'
        for n in numbers
    )
    links += f'<Relationship Id="s" Type="{office}/styles" Target="styles.xml"/>'
    cells = "".join(
        f'<row r="{at}">'
        + "".join(
            cell.replace("<c", f'<c r="{chr(65 + place)}{at}"') for place, cell in enumerate(row)
        )
        + "</row>"
        for at, row in enumerate(rows, start=3)
    )
    files = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types"/>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="r1"'
        f' Type="{office}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{office}"><sheets>{names}</sheets>'
        "</workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships">{links}'
        "</Relationships>",
        "xl/styles.xml": f'<styleSheet xmlns="{main}"><cellXfs count="2"><xf numFmtId="0"/>'
        '<xf numFmtId="22"/></cellXfs></styleSheet>',
        **{
            f"xl/worksheets/sheet{n}.xml": f'<worksheet xmlns="{main}"><sheetData>{cells}'
            "</sheetData></worksheet>"
            for n in numbers
        },
    }
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return path


def words(text: str) -> str:
    return f'<c t="inlineStr"><is><t>{text}</t></is></c>'


def number(value: float, style: int = 0) -> str:
    return f'<c s="{style}"><v>{value!r}</v></c>'


def test_a_workbook_is_read(tmp_path: Path) -> None:
    head = [words("T (degC)"), words("mass gain (mg)"), words("time_min"), words("area_cm2")]
    rows = [
        head,
        *([number(t), number(m), number(60), number(50)] for t, m in [(80, 1.234), (85, 2)]),
    ]
    runs = bk.read_runs(workbook(tmp_path / "runs.xlsx", rows))
    # A number of a workbook has no mark of its author's that may part thousands.
    assert runs.columns["mass_gain_mg"] == [1.234, 2.0]
    assert not runs.report
    several = bk.read_runs(workbook(tmp_path / "two.xlsx", rows, sheets=2))
    told = "name the sheet you mean (log.sheet), or save it as a file of its own"
    assert f"S1 (S2 left out: {told})" in effects(several)
    error_cell = '<c t="e"><v>#N/A</v></c>'
    rows[2][1] = error_cell
    with pytest.raises(bk.DataError, match=r"row 2, mass gain .mg. = #N/A: expected a number"):
        bk.read_runs(workbook(tmp_path / "broken.xlsx", rows))


def test_dates_of_a_workbook(tmp_path: Path) -> None:
    # 46083.25 is 2026-03-02 06:00 (the day count of spreadsheets), 46083.0 its midnight.
    rows = [
        [words("when"), words("pH")],
        *([number(day, 1), number(4.8)] for day in (46083.0, 46083.25)),
    ]
    log = bk.read_log(workbook(tmp_path / "log.xlsx", rows))
    assert log.columns["time_h"] == [0.0, 6.0]
    assert str(log.start) == "2026-03-02 00:00:00"
    racks = [
        [words("in"), words("minutes"), words("area_dm2")],
        [number(46083.25, 1), number(60), number(12.5)],
    ]
    path = workbook(tmp_path / "racks.xlsx", racks)
    assert bk.load_recipe("nickel-acid").set("work.calendar", str(path)).flags
    wrong = workbook(
        tmp_path / "wrong.xlsx", [racks[0], [number(46083.25, 1), words("x"), number(1)]]
    )
    with pytest.raises(
        bk.RecipeError, match=r"wrong\.xlsx:4: minutes = x: expected minutes above zero"
    ):
        bk.load_recipe("nickel-acid").set("work.calendar", str(wrong)).make_up()


@pytest.mark.parametrize(
    ("heading", "name", "values"),
    [
        ("T/K", "temperature_c", [80.0]),
        ("T / \u00b0C", "temperature_c", [353.15]),
        ("T [\u2103]", "temperature_c", [353.15]),
        ("Temperature (\u00baC)", "temperature_c", [353.15]),
        ("temperature \u2103", "temperature_c", [353.15]),
        ("t/min", "time_min", [353.15]),
        ("nickel g/L", "nickel_g_l", [353.15]),
        ("Nickel (lb/gal)", "nickel_g_l", [42316.5]),
    ],
)
def test_units_as_people_write_them(heading: str, name: str, values: list[float]) -> None:
    cell = 353.15 if "C" not in heading and "\u2103" not in heading else 80.0
    table = pd.DataFrame({heading: [cell], "deposition_um_h": [12.0]})
    wanted = [80.0] if name == "temperature_c" else values
    assert bk.read_runs(table).columns[name] == pytest.approx(wanted, rel=1e-4)


def test_slashes_that_are_no_units_stay() -> None:
    assert [bracketed(text) for text in ("Date/Time", "T/K", "a/b", "rate um/h")] == [
        "Date/Time",
        "T [K]",
        "a/b",
        "rate [um/h]",
    ]


@pytest.mark.parametrize(
    ("heading", "words"),
    [
        ("1000/T", "a reciprocal temperature: expected temperature_k"),
        ("10^3/T (1/K)", "a reciprocal temperature"),
        ("1/T", "a reciprocal temperature"),
        ("ln k", "a logarithm: expected the number itself"),
        ("log10 k", "a logarithm"),
        ("ln(rate)", "a logarithm"),
        ("mass (lb)", "belong in a calendar of racks"),
        ("area (ft2/lb)", "mass_lb with area_ft2_lb"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_cure(
    bathkin: Command, tmp_path: Path, heading: str, words: str
) -> None:
    table = pd.DataFrame({heading: [2.8, 2.9], "deposition_um_h": [12.0, 9.0], "time_h": [0, 1]})
    for read in (bk.read_runs, bk.read_log):
        with pytest.raises(bk.DataError) as caught:
            read(table)
        assert words in str(caught.value)
        assert caught.value.column == heading
    path = tmp_path / "rates.csv"
    path.write_text(f"{heading},rate_um_h\n2.8,12\n2.9,9\n")
    outcome = bathkin("arrhenius", str(path))
    assert outcome.code == 2
    assert words in outcome.err


def test_all_headings_are_judged_at_once() -> None:
    table = pd.DataFrame({"temperature": [80], "ln k": [1], "rate": [2], "ph": [4.8]})
    with pytest.raises(bk.DataError) as caught:
        bk.read_runs(table)
    text = str(caught.value)
    assert text.startswith("table: 3 columns cannot be read:")
    assert all(f"column {name}" in text for name in ("temperature", "ln k", "rate"))
    recipe, free = bk.load_recipe("nickel-acid"), ["deposition.rate_mol_m2_s"]
    runs = pd.DataFrame({"hypo_mol_l": [0.2], "lactat_g_l": [3], "deposition_um_h": [9.0]})
    with pytest.raises(bk.DataError) as caught:
        bk.fit(recipe, runs, free)
    text = str(caught.value)
    assert "2 columns cannot be used" in text
    log = pd.DataFrame({"time_h": [0, 1], "hypo_l": [0, 1], "nickle_g_l": [6, 5]})
    with pytest.raises(bk.DataError) as caught:
        bk.fit(recipe, bk.read_log(log), free)
    text = str(caught.value)
    assert "did you mean hypophosphite_mol_l" in text
    assert "ph_l" not in text
    assert "did you mean nickel_g_l" in text


def test_a_quantity_is_no_label() -> None:
    recipe, rate = bk.load_recipe("nickel-acid"), "deposition.rate_mol_m2_s"
    runs = pd.DataFrame({"stirring_m_h": [1, 2], "deposition_um_h": [9.0, 10.0]})
    with pytest.raises(bk.UnknownNameError, match="stirring_m_h"):
        bk.fit(recipe, runs, [rate], per={rate: "stirring_m_h"})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "temperature_c;mass gain (mg)\n80;1.234\n",
            "1.2340 or 1234: this point may part thousands",
        ),
        ("temperature_c;mass gain (g)\n80;1.234\n", ""),
        ("temperature_c;mass gain (mg)\n80;0.234\n", ""),
        ("temperature_c;mass gain (mg)\n80;1234.567\n", ""),
        ("temperature_c;mass gain (mg)\n80.5;1.234\n", ""),
        ("temperature_c;mass gain (mg)\n80;1,234\n", "this comma may part thousands"),
        ("temperature_c;mass gain (g)\n80;1,234\n", "this comma may part thousands"),
        ("temperature_c;mass gain (mg)\n80;1,234 mg\n", "this comma may part thousands"),
    ],
)
def test_marks_that_may_part_thousands(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "runs.csv"
    path.write_text(text)
    if words:
        with pytest.raises(bk.DataError, match=words) as caught:
            bk.read_runs(path)
        assert caught.value.row == 1
    else:
        bk.read_runs(path)


def test_a_bare_area_of_a_log_is_refused_with_three_headings() -> None:
    table = pd.DataFrame({"time_h": [0, 2], "area (dm2)": [0, 300], "nickel_g_l": [6, 5]})
    with pytest.raises(bk.DataError) as caught:
        bk.read_log(table)
    for words in ("plating_min", "thickness_um", "area_in_tank_dm2", "work.calendar"):
        assert words in str(caught.value)
    assert caught.value.column == "area (dm2)"
    log = bk.read_log(table.assign(**{"thickness (um)": [None, 10]}))
    assert log.columns["area_dm2"] == [0, 300]


def test_a_log_with_dates_follows_the_calendar(tmp_path: Path) -> None:
    racks = tmp_path / "racks.csv"
    racks.write_text("in;minutes;area_dm2\n02.03.2026 06:15;60;150\n")
    recipe = bk.load_recipe("nickel-acid").set("work.calendar", str(racks))
    log = pd.DataFrame({"when": ["2026-03-02 06:00", "2026-03-02 08:00"], "nickel_g_l": [6, 5.4]})
    found = bk.fit(recipe, bk.read_log(log), ["deposition.rate_mol_m2_s"])
    assert any("the racks of the recipe were followed" in one.text for one in found.remarks)
    assert any("02.03.2026 06:15" in flag.what for flag in recipe.flags)


def test_a_row_of_a_log_in_which_something_was_done_is_not_dropped() -> None:
    table = {"time_h": [0, 1, 2], "metal_ml": [0, 5, None], "ph": [4.8, 4.7, None]}
    log = bk.read_log(pd.DataFrame(table))
    with pytest.raises(bk.DataError, match=r"row 2, metal_l = 0.005: expected a row without work"):
        log.drop(2)
    assert log.drop(3).columns["time_h"] == [0, 1]
