"""Ensembles from Python: draws, columns, tables, pickles, parts, refusals."""

from __future__ import annotations

import pickle
from pathlib import Path
from typing import Any

import bathkin as bk
import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_array_equal

PH = "operation.ph"
RATE = "deposition.rate_mol_m2_s"
SPREAD = {PH: "normal(4.8, 0.05)", "make_up.lactic_acid_g_l": ("uniform", 28, 32)}
OUTPUTS = ["make_up.deposition_um_h", "dump.plating_h", "dump.limit"]


@pytest.fixture(scope="module")
def short() -> bk.Recipe:
    return bk.load_recipe("nickel-acid").set("limits.turnovers", 0.3)


@pytest.fixture(scope="module")
def found(short: bk.Recipe) -> bk.Ensemble:
    return bk.ensemble(short, SPREAD, OUTPUTS, members=40, seed=5)


def test_a_row_is_the_recipe_with_its_values(short: bk.Recipe, found: bk.Ensemble) -> None:
    table = found.table()
    assert list(table) == [*SPREAD, *OUTPUTS]
    assert (table.index.name, len(table)) == ("member", 40)
    row = table.loc[7]
    life = short.set({path: float(row[path]) for path in SPREAD}).simulate_life()
    assert life.dump.plating_h == row["dump.plating_h"]
    assert life.dump.limit == row["dump.limit"] == "turnovers"
    assert (found.complete, found.members, found.first_limits) == (
        True,
        range(40),
        {"turnovers": 40},
    )
    assert found.flags == []


def test_the_same_seed_gives_the_same_values_and_another_one_others(
    short: bk.Recipe, found: bk.Ensemble
) -> None:
    outputs = ["make_up.ph"]
    again = bk.ensemble(short, SPREAD, outputs, members=10, seed=5).table()
    assert_array_equal(again[PH], found.table()[PH][:10])
    other = bk.ensemble(short, SPREAD, outputs, members=10, seed=6).table()
    assert not set(other[PH]) & set(again[PH])


def test_parts_are_the_rows_of_the_whole(short: bk.Recipe, found: bk.Ensemble) -> None:
    part = bk.ensemble(short, SPREAD, OUTPUTS, members=40, seed=5, part=(10, 30))
    assert part.members == range(10, 30)
    pd.testing.assert_frame_equal(part.table(), found.table()[10:30], check_exact=True)


def test_statistics_are_those_of_the_columns(found: bk.Ensemble) -> None:
    values = found.columns()["dump.plating_h"]
    one = next(one for one in found.statistics if one.output == "dump.plating_h")
    assert one.mean == pytest.approx(values.mean(), rel=1e-13)
    assert one.standard_deviation == pytest.approx(values.std(ddof=1), rel=1e-10)
    assert (one.least, one.greatest, one.unit, one.count) == (values.min(), values.max(), "h", 40)
    table = found.quantiles([0.1, 0.25])
    assert list(table.columns[-2:]) == ["p10", "p25"]
    assert table["p25"]["dump.plating_h"] == pytest.approx(np.quantile(values, 0.25), rel=1e-13)
    edges, counts = found.histogram("dump.plating_h", 8)
    assert (len(edges), int(counts.sum())) == (9, 40)


def test_a_summary_keeps_no_member_and_says_the_same(short: bk.Recipe, found: bk.Ensemble) -> None:
    kept = bk.ensemble(short, SPREAD, OUTPUTS, members=40, seed=5, keep="summary")
    assert kept.statistics == found.statistics
    assert kept.first_limits == found.first_limits
    # One of 40 members more or less; the sketch itself is good to 1e-4.
    assert kept.quantiles()["p50"].to_numpy() == pytest.approx(
        found.quantiles()["p50"].to_numpy(), rel=5e-3
    )
    with pytest.raises(bk.RecipeError, match=r"members are not kept: use quantiles\(\)"):
        kept.table()
    assert pickle.loads(pickle.dumps(kept)).statistics == found.statistics


def test_it_pickles_with_its_numbers(found: bk.Ensemble) -> None:
    again = pickle.loads(pickle.dumps(found))
    pd.testing.assert_frame_equal(again.table(), found.table(), check_exact=True)
    assert again.statistics == found.statistics
    assert (again.outputs, again.seed, again.complete) == (OUTPUTS, 5, True)


def test_columns_may_not_be_changed(found: bk.Ensemble) -> None:
    with pytest.raises(ValueError, match="read-only"):
        found.columns()["dump.plating_h"][0] = 1.0


def test_lists_make_every_combination(short: bk.Recipe) -> None:
    grid = {PH: [4.6, 4.8], "operation.temperature_c": ["185 degF", 88, 90]}
    table = bk.ensemble(short, grid, ["make_up.deposition_um_h"]).table()
    assert table[PH].tolist() == [4.6, 4.6, 4.6, 4.8, 4.8, 4.8]
    assert table["operation.temperature_c"].tolist() == [85.0, 88.0, 90.0] * 2
    rates = bk.sweep(short, grid)["deposition_um_h"]
    assert table["make_up.deposition_um_h"].to_numpy() == pytest.approx(rates.to_numpy(), rel=1e-9)


def test_a_table_has_a_row_per_member(short: bk.Recipe, tmp_path: Path) -> None:
    given = pd.DataFrame({PH: [4.6, 4.9], RATE: [9e-4, 1e-3]})
    table = bk.ensemble(short, given, ["make_up.ph"]).table()
    assert_array_equal(table[[PH, RATE]].to_numpy(), given.to_numpy())
    file = tmp_path / "members.csv"
    file.write_text(f"{PH};{RATE}\n4,6;0,0009\n4,9;0,001\n", encoding="utf-8")
    read = bk.ensemble(short, file, ["make_up.ph"]).table()
    assert_array_equal(read.to_numpy(), table.to_numpy())


def test_a_prior_is_drawn_on_the_scale_a_fit_moves_it_on(short: bk.Recipe) -> None:
    energy = "deposition.activation_energy_kj_mol"
    draws = {RATE: ("prior", 1e-3, 1e-4), energy: "prior"}
    outputs = ["make_up.ph"]
    found = bk.ensemble(short, draws, outputs, members=4096, sampling="sobol").table()
    # Lognormal to 10 %; normal about the middle of the range 35-95, a quarter of its width.
    assert np.log(found[RATE]).std() == pytest.approx(0.1, rel=2e-3)
    assert found[RATE].median() == pytest.approx(1e-3, rel=1e-3)
    assert (found[energy].mean(), found[energy].std()) == pytest.approx((65.0, 15.0), rel=2e-3)


def test_failed_members_are_kept_with_their_values_and_the_reason(short: bk.Recipe) -> None:
    draws = {"make_up.lactic_acid_g_l": "normal(0.5, 1)"}
    with pytest.warns(
        bk.BathkinWarning, match="members failed and are in no statistics: the first"
    ):
        found = bk.ensemble(short, draws, ["make_up.ph"], members=32)
    failed = found.failed
    assert 0 < len(failed) < 32
    assert (failed["make_up.lactic_acid_g_l"] < 0).all()
    assert failed["reason"].str.contains("expected zero or more").all()
    assert found.failed_by_code == {"recipe-value": len(failed)}
    table = found.table()
    assert_array_equal(table.index[table["make_up.ph"].isna()], failed.index)
    assert found.statistics[0].count == 32 - len(failed)


def test_lives_without_a_limit_are_told(short: bk.Recipe) -> None:
    endless = short.set({"limits.turnovers": 50, "limits.orthophosphite_g_l_as_hpo3": "off"})
    endless = endless.set("life.longest_clock_h", 5)
    with pytest.warns(bk.BathkinWarning, match="2 of 2 lives reached no limit: they count"):
        found = bk.ensemble(endless, {PH: [4.7, 4.8]}, ["dump.clock_h", "dump.limit"])
    assert found.first_limits == {"none": 2}


def test_it_writes_what_it_shows(found: bk.Ensemble, tmp_path: Path) -> None:
    found.to_csv(tmp_path / "members.csv")
    read = pd.read_csv(tmp_path / "members.csv", index_col="member")
    assert read["dump.plating_h"].to_numpy() == pytest.approx(
        found.columns()["dump.plating_h"], rel=1e-9
    )
    figure = found.plot(tmp_path / "spread.png")
    assert len(figure.axes) == 3
    assert (tmp_path / "spread.png").stat().st_size > 10_000
    text = repr(found)
    assert "40 members of nickel-acid, random, seed 5" in text
    assert "dump.plating_h" in text


def test_arrow_has_the_columns_without_copies(found: bk.Ensemble) -> None:
    pyarrow = pytest.importorskip("pyarrow")
    table = found.to_arrow()
    assert table.column_names == ["member", *SPREAD, *OUTPUTS]
    assert_array_equal(table["dump.plating_h"].to_numpy(), found.columns()["dump.plating_h"])
    assert pyarrow.types.is_dictionary(table["dump.limit"].type)


@pytest.mark.parametrize(
    ("draws", "options", "told"),
    [
        ({}, {}, r"draws = \{\}: expected at least one path"),
        ({PH: 4.8}, {}, "operation.ph = 4.8: expected values to go through, or a distribution"),
        (
            {PH: "gauss(4.8, 0.1)"},
            {},
            r"= gauss\(4.8, 0.1\): expected normal, lognormal",
        ),
        (
            {PH: "normal(4.8)"},
            {},
            r"= normal\(4.8\): expected mean, standard deviation",
        ),
        ({PH: "normal 4.8"}, {}, "operation.ph = normal 4.8: expected a distribution such as"),
        ({PH: "uniform(4.8, 20)"}, {}, "operation.ph = 20: expected a distribution of a pH"),
        ({PH: "prior", RATE: [1.0]}, {}, "beside distributions such as operation.ph"),
        ({PH: [4.8]}, {"members": 3}, "members = 3: these values make 1 members: leave it out"),
        ({PH: [4.8, 19]}, {}, "operation.ph = 19: expected a pH"),
        ({PH: []}, {}, "operation.ph: expected at least one value"),
        (
            {"operation.pH": [4.8]},
            {},
            "called 'operation.pH'; did you mean operation.ph",
        ),
        (SPREAD, {"members": 1000, "sampling": "sobol"}, "members = 1000: expected a power of two"),
        (SPREAD, {"sampling": "halton"}, "sampling = halton: expected random or sobol"),
        (SPREAD, {"members": 0}, "members = 0: expected a whole number, 1 or more"),
        (SPREAD, {"part": (5, 2000)}, "part 5 to 2000: expected a part of members 0 to 1000"),
        (SPREAD, {"outputs": ["ph"]}, "no output is called 'ph'"),
        (SPREAD, {"outputs": "dump.limit"}, "outputs = dump.limit: expected a list of names"),
        (SPREAD, {"executor": 3}, "executor = int: expected an executor of concurrent.futures"),
        (SPREAD, {"keep": "all"}, "keep = all: expected members or summary"),
        (3, {}, "draws = 3: expected for each path values or a distribution, or a table"),
    ],
)
def test_refusals(draws: Any, options: dict[str, Any], told: str) -> None:
    with pytest.raises(bk.BathkinError, match=told):
        bk.ensemble("nickel-acid", draws, **options)


def test_tables_that_cannot_be_are_refused(tmp_path: Path) -> None:
    for table, told in (
        (pd.DataFrame({PH: [4.8, float("nan")]}), "member 1: operation.ph = NaN: expected a pH"),
        (pd.DataFrame({PH: [4.8, 19.0]}), "member 1: operation.ph = 19: expected a pH"),
        (pd.DataFrame({PH: ["4.8", "acid"]}), "expected numbers alone"),
        (pd.DataFrame([[4.8, 4.9]], columns=[PH, PH]), "operation.ph: expected each name once"),
        (pd.DataFrame({PH: []}), "expected at least one member"),
        (pd.DataFrame(), "at least one"),
    ):
        with pytest.raises(bk.BathkinError, match=told):
            bk.ensemble("nickel-acid", table, ["make_up.ph"])
    with pytest.raises(bk.DataError):
        bk.ensemble("nickel-acid", tmp_path / "none.csv")
