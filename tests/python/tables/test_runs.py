"""Runs read from messy sheets, and numbers of a recipe fitted to them."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import numpy as np
import pandas as pd
import pytest

RATE = "deposition.rate_mol_m2_s"
ENERGY = "deposition.activation_energy_kj_mol"
Command = Callable[..., Any]

# Invented coupons.
SHEET = """\
# invented
coupon;T [degC];pH;time [min];area_dm2;mass gain (mg);note
A3;90;4,8;60;0,5;679;bright
A1;80;4,8;60;0,5;451;
A2;85;4,8;60;0,5;553;
A4;95;4,8;60;0,5;830;
A7;88;;60;0,5;635;
A8;88;4,8;1;0,5;;lost
"""


def sheet(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "runs.csv"
    path.write_text(text, encoding="utf-8-sig")
    return path


def refused(tmp_path: Path, text: str) -> bk.DataError:
    with pytest.raises(bk.DataError) as caught:
        bk.read_runs(sheet(tmp_path, text))
    assert "runs.csv" in str(caught.value)
    return caught.value


def test_a_messy_sheet_is_read_and_every_assumption_listed(tmp_path: Path) -> None:
    runs = bk.read_runs(sheet(tmp_path, SHEET))
    assert runs.columns["temperature_c"] == [90, 80, 85, 95, 88, 88]
    assert runs.columns["ph"] == [4.8, 4.8, 4.8, 4.8, None, 4.8]
    assert runs.columns["area_cm2"] == [50.0] * 6
    assert runs.columns["mass_gain_mg"][-1] is None
    assert runs.notes["note"][-1] == "lost"
    told = [(one.row, one.column, one.raw, one.taken) for one in runs.report]
    assert (None, "", "4,8", "4.8") in told
    assert (None, "area_dm2", "0,5 dm2", "50") in told
    assert (5, "pH", "", "empty") in told
    assert (6, "mass gain (mg)", "", "empty") in told
    assert pickle.loads(pickle.dumps(runs)) == runs
    assert len(runs) == 6
    assert runs.table().shape == (6, 5)
    assert max(map(len, runs.summary().splitlines())) <= 100


def test_s06_decimal_commas_and_the_row_that_has_both_marks(tmp_path: Path) -> None:
    good = "T (degC);rate (um/h)\n80;5,5\n81;7,04\n"
    assert bk.read_runs(sheet(tmp_path, good)).columns["deposition_um_h"] == [5.5, 7.04]
    error = refused(tmp_path, good + "82;1.234,56\n")
    assert (error.row, error.column, error.raw) == (3, "rate (um/h)", "1.234,56")


@pytest.mark.parametrize(
    ("text", "row", "raw", "words"),
    [
        ("temperature_c,rate_um_h\n80,12\n81,x\n", 2, "x", "a number"),
        ("temperature_c;rate_um_h\n80;12,5\n81;12.5\n", 2, "12.5", "rows above"),
        ("temperature_c;rate_um_h\n80;1,250\n", 1, "1,250", "thousands"),
        ("temperature_c,rate_um_h\n180,12\n", 1, "180", "degF"),
        ("T_K,rate_um_h\n85,12\n", 1, "85", "is the column in degC?"),
        ("ph,rate_um_h\n88,12\n", 1, "88", "pH between 0 and 14"),
        ("ph,rate_um_h\n4,8,12\n", 1, "4,8,12", "decimal comma"),
        ("temperature_c,rate_um_h\n80 g,12\n", 1, "80 g", "degC"),
    ],
)
def test_refusals_name_row_and_raw_text(
    tmp_path: Path, text: str, row: int, raw: str, words: str
) -> None:
    error = refused(tmp_path, text)
    assert (error.row, error.raw) == (row, raw)
    assert words in str(error)


def test_a_quantity_without_its_unit_is_refused_with_the_readings(tmp_path: Path) -> None:
    error = refused(tmp_path, "temperature,rate_um_h\n80,12\n")
    assert "temperature_c" in str(error)
    assert "temperature_k" in str(error)
    error = refused(tmp_path, "T_K,T_C,rate_um_h\n353,80,12\n")
    assert "both temperature_c" in str(error)


def test_units_of_the_trade_and_latex_headings(tmp_path: Path) -> None:
    text = "$T$ [K]\tNickel (oz/gal)\tthickness_mil\ttime_h\tsigma\n353.15\t0.8\t0.5\t1\t0.1\n"
    runs = bk.read_runs(sheet(tmp_path, text))
    assert runs.columns["temperature_c"] == [pytest.approx(80.0)]
    assert runs.columns["nickel_g_l"] == [pytest.approx(5.991, abs=1e-3)]
    assert runs.columns["thickness_um"] == [pytest.approx(12.7)]
    assert runs.columns["sigma"] == [pytest.approx(2.54)]
    assert runs.columns["time_min"] == [60.0]


def test_what_is_below_detection_is_kept_as_a_limit(tmp_path: Path) -> None:
    text = "T (degC);mass gain (g);ph\n60;<0,002;4,8\n88;0,6;4,8\n"
    runs = bk.read_runs(sheet(tmp_path, text))
    assert runs.columns["mass_gain_mg"] == [None, 600.0]
    assert runs.columns["below_mass_gain_mg"] == [2.0, None]
    told = [(one.row, one.raw, one.taken) for one in runs.report]
    assert (1, "<0,002", "below detection") in told
    # Only what was measured can be below detection.
    error = refused(tmp_path, text.replace("0,6;4,8", "0,6;<4,8"))
    assert (error.row, error.raw) == (2, "<4,8")


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_the_arrhenius_table_through_a_recipe(power_law: bk.Recipe) -> None:
    kelvin = np.array([313.0, 319.0, 323.0, 328.0, 333.0])
    rate = np.array([0.00043, 0.00103, 0.0018, 0.00355, 0.00717])
    table = bk.fit_arrhenius(kelvin, rate).activation_energy_kj_mol
    runs = pd.DataFrame({"T [K]": kelvin, "deposition_um_h": 1e4 * rate})
    found = bk.fit(power_law, runs, [RATE, ENERGY])
    energy = found.estimates[1]
    assert energy.path == ENERGY
    assert energy.status == "ok"
    assert energy.value == pytest.approx(table.value, rel=1e-6)
    assert energy.standard_error == pytest.approx(table.standard_error, rel=1e-6)
    assert found.interval(ENERGY) == pytest.approx(table.interval95, rel=1e-6)
    narrow, wide = (found.interval(ENERGY, level) for level in (0.5, 0.99))
    assert wide[0] < narrow[0] < narrow[1] < wide[1]
    assert found.interval(ENERGY, method="profile") == pytest.approx(table.interval95, rel=1e-5)
    assert "error-model" in [one.code for one in found.remarks]
    correlation = found.correlation()
    assert correlation.loc[RATE, RATE] == pytest.approx(1.0)
    assert correlation.loc[RATE, ENERGY] == pytest.approx(correlation.loc[ENERGY, RATE])
    assert found == pickle.loads(pickle.dumps(found))
    assert len(found.plot().axes) == 2
    assert max(map(len, found.summary().splitlines())) <= 100
    ahead = found.predict({"temperature_c": "343 K"})
    assert ahead.confidence[0] < ahead.value < ahead.prediction[1]
    with pytest.raises(bk.UnknownNameError):
        found.interval("deposition.ph_order")


def test_the_fitted_recipe_has_kind_and_source(recipe: bk.Recipe, tmp_path: Path) -> None:
    path = sheet(tmp_path, SHEET)
    found = bk.fit(recipe.set("tank.volume_l", 1), bk.read_runs(path).drop(5), [RATE, ENERGY])
    better = found.recipe()
    entry = {one.path: one for one in better.numbers()}[ENERGY]
    assert entry.kind == "fitted"
    assert "4 values of" in str(entry.source)
    assert entry.range == (35.0, 95.0)
    assert better.get("tank.volume_l") == 1.0
    # The bath of the fitted recipe does what the fit says.
    load = (
        better.set({"operation.temperature_c": 90}).make_up().plate(area_dm2="50 cm2", minutes=60)
    )
    assert load.mass_g * 1e3 == pytest.approx(found.columns["calculated"][0], rel=1e-6)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_known_sigma_needs_one(recipe: bk.Recipe) -> None:
    runs = {"temperature_c": [80, 90, 95], "deposition_um_h": [12, 19, 24]}
    with pytest.raises(bk.DataError, match="relative_sigma"):
        bk.fit(recipe, pd.DataFrame(runs), [RATE], sigma="known")
    found = bk.fit(recipe, pd.DataFrame(runs), [RATE], relative_sigma=0.03, sigma="known")
    assert found.estimates[0].standard_error == pytest.approx(
        found.estimates[0].value * 0.03 / np.sqrt(3), rel=1e-6
    )
    with pytest.raises(bk.DataError, match="mixed"):
        bk.fit(recipe, pd.DataFrame(runs), [RATE], error_model="mixed")


def test_the_command_writes_a_recipe_that_loads(bathkin: Command, tmp_path: Path) -> None:
    path, target, plot = sheet(tmp_path, SHEET), tmp_path / "fitted.toml", tmp_path / "fit.png"
    arguments = ["fit", "nickel-acid", str(path), "--free", RATE, "--free", ENERGY]
    refused = bathkin(*arguments)
    assert refused.code == 2
    assert "row 5, ph = (empty): expected a number in every measured run" in refused.err
    assert "--drop runs.csv:5" in refused.err
    arguments += ["--drop", "runs.csv:5"]
    outcome = bathkin(*arguments, "--write", str(target), "--plot", str(plot), "--json")
    assert outcome.code == 0, outcome.err
    document = outcome.document()
    assert [one["path"] for one in document["estimates"]] == [RATE, ENERGY]
    assert set(document["estimates"][0]) >= {"value", "standard_error", "interval95", "status"}
    assert document["degrees_of_freedom"] == 2
    assert abs(document["correlation"][RATE][ENERGY]) < 1.0
    assert {message["code"] for message in document["messages"]} >= {"left-out"}
    assert document["command"] == "fit"
    assert document["error_model"].startswith("relative")
    assert plot.stat().st_size > 1000
    fitted = bk.load_recipe(target)
    assert fitted.get(ENERGY) == document["estimates"][1]["value"]
    text = bathkin(*arguments)
    assert text.code == 0
    assert "decimal comma" in text.out
    assert "row 6: nothing" in text.out


def test_the_command_refuses_with_code_2(bathkin: Command, tmp_path: Path) -> None:
    path = sheet(tmp_path, "temperature_c,rate_um_h\n86,16\n88,x\n")
    outcome = bathkin("fit", "nickel-acid", str(path), "--free", RATE)
    assert outcome.code == 2
    assert "runs.csv: row 2, rate_um_h = x: expected a number" in outcome.err
    path = sheet(tmp_path, "temperature_c,rate_um_h\n86,16\n90,19\n88,17\n")
    outcome = bathkin("fit", "nickel-acid", str(path), "--free", "deposition.rate_mol")
    assert outcome.code == 2
    assert RATE in outcome.err
    outcome = bathkin("fit", "nickel-acid", str(path), "--free", RATE, "--bound", f"{RATE}=1")
    assert outcome.code == 2
    assert "PATH=LOW:HIGH" in outcome.err
    outcome = bathkin("fit", "nickel-acid", str(path), "--free", RATE, "--free", ENERGY)
    assert outcome.code == 0
    assert "runs span 4 degC: activation energy not determined" in outcome.out


def test_an_empty_setting_is_refused_and_can_be_dropped(recipe: bk.Recipe) -> None:
    cells = {
        "temperature_c": [75, 80, None, 90],
        "ph": [4.8, 4.8, 4.8, None],
        "deposition_um_h": [8.1, 11.3, 14.6, 19.9],
    }
    runs = bk.read_runs(pd.DataFrame(cells))
    with pytest.raises(bk.DataError, match=r"row 3, temperature_c = \(empty\)") as caught:
        bk.fit(recipe, runs, [RATE, ENERGY])
    assert caught.value.row == 3
    assert "runs.drop(3)" in str(caught.value)
    with pytest.raises(bk.DataError, match=r"row 4, ph = \(empty\)"):
        bk.fit(recipe, runs.drop(3), [RATE])
    assert len(bk.fit(recipe, runs.drop(3, 4), [RATE]).residuals()) == 2
    # A column that is not there is the recipe's, as ever.
    bk.fit(recipe, runs.drop(3, "ph"), [RATE])
    left = runs.drop(3, "ph")
    assert [one.effect for one in left.report[-2:]] == ["dropped as asked"] * 2
    assert (left.rows, list(left.columns)) == ([1, 2, 4], ["temperature_c", "deposition_um_h"])
    with pytest.raises(bk.DataError, match="no row 9 to drop: it has 1, 2, 3, 4"):
        runs.drop(9)
    with pytest.raises(bk.DataError, match="no column volume_l to drop"):
        runs.drop("volume_l")


def test_an_empty_rate_of_a_table_asks_for_no_unit() -> None:
    for kelvin, rate in (([350, float("nan"), 360], [1, 2, 3]), ([350, 355, 360], [1, None, 3])):
        with pytest.raises(bk.DataError, match="a finite number in every row") as caught:
            bk.fit_arrhenius(kelvin, np.array(rate, dtype=float))
        assert caught.value.row == 2
        assert "degC" not in str(caught.value)


def test_further_starts_are_told_and_checked() -> None:
    runs = pd.DataFrame(
        {"temperature_c": [75, 80, 85, 90, 95], "deposition_um_h": [8.1, 11.3, 14.6, 19.9, 25.2]}
    )
    free = ["deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"]
    recipe = bk.load_recipe("nickel-acid")
    plain, found = (bk.fit(recipe, runs, free, starts=starts) for starts in (0, 5))
    assert found.estimates[1].value == pytest.approx(plain.estimates[1].value, rel=1e-7)
    assert "5 further starts" in next(one.text for one in found.remarks if one.code == "starts")
    with pytest.raises(bk.DataError, match="starts = -1: expected a whole number"):
        bk.fit(recipe, runs, free, starts=-1)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_orthophosphite_is_a_column(recipe: bk.Recipe) -> None:
    sheet = {
        "orthophosphite (mol/L)": [0, 0.5, 1.0, 1.5],
        "pH": [4.8, 4.8, 4.8, 4.2],
        "rate (um/h)": [16.9, 14.8, 13.1, 7.2],
    }
    fit = bk.fit(recipe, bk.read_runs(pd.DataFrame(sheet)), free=["deposition.rate_mol_m2_s"])
    said = {one.code: one.text for one in fit.remarks}
    assert "brought by disodium phosphite, anhydrous" in said["salt"]
    assert "row 2, 3, 4: pH set with sulfuric_acid" in said["ph-reagent"]
