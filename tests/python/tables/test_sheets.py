"""Tables as people hand them over: nothing is dropped or joined without a word."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest

# Invented.
HEAD = "coupon,temperature_c,deposition_um_h\n"
FRAME = pd.DataFrame(
    {"temperature_c": [75, 80, 85], "ph": [4.4, 4.6, 4.8], "deposition_um_h": [8.1, 11.3, 14.6]}
)


def read(tmp_path: Path, text: str) -> bk.Runs:
    path = tmp_path / "runs.csv"
    path.write_text(text)
    return bk.read_runs(path)


def refused(tmp_path: Path, text: str) -> str:
    with pytest.raises(bk.DataError) as caught:
        read(tmp_path, text)
    return str(caught.value).replace(str(tmp_path), "")


def effects(runs: bk.Runs) -> list[tuple[str, str]]:
    return [(one.raw, one.effect) for one in runs.report]


def test_a_row_that_begins_with_a_hash_is_a_row(tmp_path: Path) -> None:
    runs = read(tmp_path, f"{HEAD}#1,75,8.1\n#2,80,11.3\nA3,85,14.6\n")
    assert runs.columns["temperature_c"] == [75, 80, 85]
    assert runs.notes["coupon"] == ["#1", "#2", "A3"]
    text = "temperature_c,deposition_um_h\n80,12.1\n#DIV/0!,15.1\n"
    assert "row 2, temperature_c = #DIV/0!: expected a number" in refused(tmp_path, text)


def test_a_remark_among_the_rows_is_told(tmp_path: Path) -> None:
    runs = read(tmp_path, f"# invented\n\n{HEAD}A1,75,8.1\n# new filter\nA2,80,11.3\n\n,,\n")
    assert len(runs) == 2
    assert ("# new filter", "left out below row 1") in effects(runs)
    assert not any("invented" in raw for raw, _ in effects(runs))


@pytest.mark.parametrize("heading", ["#,temperature_c,pH", "# temperature_c,ph,coupon"])
def test_headings_behind_a_hash_are_asked_for(tmp_path: Path, heading: str) -> None:
    told = refused(tmp_path, f"{heading}\n75,4.8,1\n80,4.8,2\n")
    assert "a column is called 75: expected a line of column names" in told


def test_a_quote_that_is_not_closed_is_refused(tmp_path: Path) -> None:
    text = f'{HEAD}A1,75,8.1\n"A2,80,11.3\nA3,85,14.6\n'
    assert "row 2: cannot be read" in refused(tmp_path, text)
    assert "is a quote not closed?" in refused(tmp_path, text)
    assert "row 1: cannot be read" in refused(tmp_path, f"{HEAD}{'x' * 140000},75,8.1\n")
    runs = read(tmp_path, f'{HEAD}"two\n# lines",75,8.1\nA2,80,11.3\n')
    assert runs.notes["coupon"] == ["two\n# lines", "A2"]


def test_columns_without_a_heading(tmp_path: Path) -> None:
    runs = read(tmp_path, "sep=;\nT [C];rate [um/h];;\n80;4,8;;\n")
    assert list(runs.columns) == ["temperature_c", "deposition_um_h"]
    assert ("", "left out: no heading, no cells") in effects(runs)
    assert list(bk.read_runs(FRAME.assign(**{"Unnamed: 3": None})).columns) == list(FRAME)
    told = refused(tmp_path, "T [C];rate [um/h];\n80;4,8;x\n")
    assert "row 1, column 3 = x: it has no heading" in told
    told = refused(tmp_path, "March;;\nT [C];rate [um/h];pH\n80;12;4,8\n")
    assert "is 'March' a title above it?" in told


def test_an_index_with_a_name_is_a_column() -> None:
    plain = bk.read_runs(FRAME)
    for frame in (FRAME.groupby("ph").mean(), FRAME.set_index(["temperature_c", "ph"])):
        assert dict(sorted(bk.read_runs(frame).columns.items())) == dict(
            sorted(plain.columns.items())
        )
    assert bk.read_runs(plain.table()).columns == plain.columns
    with pytest.raises(bk.DataError, match="both called ph"):
        bk.read_runs(FRAME.set_index("ph", drop=False))
    stamped = pd.DataFrame(
        {"timestamp": ["2026-03-02 07:00"], "ph": [4.8]}, index=pd.to_datetime(["2026-03-02 07:00"])
    )
    with pytest.raises(bk.DataError, match="both called timestamp"):
        bk.read_log(stamped)


@pytest.mark.parametrize("columns", [{"time_h": [], "area_dm2": []}, {"timestamp": [], "ph": []}])
def test_a_table_without_rows_is_refused(columns: dict[str, list[Any]]) -> None:
    for read_table in (bk.read_log, bk.read_runs):
        with pytest.raises(bk.DataError, match="there are no rows"):
            read_table(pd.DataFrame(columns))


def test_what_is_no_table_is_refused(recipe: bk.Recipe) -> None:
    for source in (io.StringIO("a,b"), {"temperature_c": [80]}, 3):
        with pytest.raises(bk.DataError, match="expected the path of a CSV file or a workbook"):
            bk.read_runs(source)
    with pytest.raises(bk.DataError, match="not dict"):
        bk.fit(recipe, {"temperature_c": [80]}, ["deposition.rate_mol_m2_s"])
    with pytest.raises(bk.DataError, match=r"row 1, ph = \[1\]: expected a number"):
        bk.read_runs(FRAME.assign(ph=[[1], [2], [3]]))


@pytest.mark.parametrize("heading", ["pH (25 °C)", "pH (cold)", "pH [mol/L]"])
def test_a_ph_of_runs_is_that_of_the_hot_bath(heading: str) -> None:
    with pytest.raises(bk.DataError, match="expected ph, that of the bath as it plates"):
        bk.read_runs(FRAME.rename(columns={"ph": heading}))
