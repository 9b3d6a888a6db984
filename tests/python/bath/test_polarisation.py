"""The mixed potential at the face: rate, curves, table, picture, command."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest

Command = Callable[..., Any]
NAME = "nickel-mixed-potential"
BRANCHES = ["metal", "phosphorus", "hydrogen", "oxidation"]


@pytest.fixture(scope="module")
def bath() -> bk.Bath:
    return bk.load_recipe(NAME).make_up()


def test_a_rate_says_its_potential_and_partial_currents(bath: bk.Bath, recipe: bk.Recipe) -> None:
    rate = bath.rate()
    assert rate.potential_v_she is not None
    for electrode, offset in (("SHE", 0.0), ("SCE", 0.2412), ("agagcl", 0.197)):
        assert rate.potential_v(electrode) == pytest.approx(rate.potential_v_she - offset)
    assert list(rate.partial_currents_ma_cm2) == BRANCHES
    assert abs(sum(rate.partial_currents_ma_cm2.values())) < 1e-10
    with pytest.raises(bk.UnknownNameError, match="no reference electrode is called"):
        rate.potential_v("MSE")
    laws = recipe.make_up().rate()
    assert laws.potential_v_she is None
    assert laws.potential_v("SCE") is None
    assert laws.partial_currents_ma_cm2 == {}


def test_a_sweep_has_the_potential_where_there_is_one(recipe: bk.Recipe) -> None:
    varied = {"operation.ph": [4.6, 5.0]}
    table = bk.sweep(NAME, varied)
    assert table["potential_v_she"].is_monotonic_decreasing
    assert "potential_v_she" not in bk.sweep(recipe, varied)
    assert not {"partial_currents_ma_cm2", "half_reactions_mol_m2_s"} & set(table)


def test_curves_tables_and_pictures(bath: bk.Bath, tmp_path: Path) -> None:
    curves = bath.polarisation((-0.9, -0.4), "SCE")
    table = curves.table()
    names = ["potential_v_sce", *(f"{name}_ma_cm2" for name in BRANCHES), "total_ma_cm2"]
    assert list(table) == names
    assert len(table) == 251
    partial = table[names[1:-1]].sum(axis=1)
    pd.testing.assert_series_equal(partial, table["total_ma_cm2"], check_names=False)
    assert curves.mixed_potential_v == pytest.approx(bath.rate().potential_v("SCE"))
    assert curves.mixed_currents_ma_cm2 == bath.rate().partial_currents_ma_cm2
    with pytest.raises(ValueError, match="read-only"):
        curves.total_ma_cm2[0] = 0.0
    again = pickle.loads(pickle.dumps(curves))
    assert again == curves
    assert again != bath.polarisation((-0.9, -0.4), "SHE")
    assert "mixed_potential_v  -0.64" in repr(curves)
    curves.to_csv(tmp_path / "curves.csv")
    assert list(pd.read_csv(tmp_path / "curves.csv")) == names
    for picture in (curves.plot(tmp_path / "curves.png"), bath.polarisation([-0.5]).plot()):
        axes = picture.axes[0]
        assert axes.get_ylabel() == "|current|, mA/cm²"
    assert (tmp_path / "curves.png").stat().st_size > 10_000


def test_what_is_refused(bath: bk.Bath, recipe: bk.Recipe) -> None:
    with pytest.raises(bk.RecipeError, match=f"recipes with partial currents: {NAME}"):
        recipe.make_up().polarisation()
    with pytest.raises(bk.RecipeError, match="volts, not millivolts"):
        bath.polarisation([-640.0], "SCE")
    with pytest.raises(bk.UnknownNameError, match="no reference electrode is called 'SSE'"):
        bath.polarisation((-0.9, -0.4), "SSE")


def test_the_command(bathkin: Command, tmp_path: Path) -> None:
    asked = ("rate", NAME, "--polarisation", "-0.9:-0.4:11", "--reference", "SCE")
    document = bathkin(*asked, "--json").document()
    assert document["command"] == "rate"
    assert document["reference"] == "SCE"
    assert document["reference_potential_v_she"] == 0.2412
    assert document["mixed_potential_v"] == pytest.approx(-0.64, abs=1e-3)
    assert list(document["mixed_currents_ma_cm2"]) == BRANCHES
    assert len(document["polarisation"]["potential_v_sce"]) == 11
    assert len(document["polarisation"]["metal_ma_cm2"]) == 11
    files = ("--csv", str(tmp_path / "it.csv"), "--plot", str(tmp_path / "it.svg"))
    outcome = bathkin(*asked, *files)
    assert outcome.code == 0
    assert "mixed potential  -0.6400 V SCE" in outcome.out
    assert (tmp_path / "it.csv").exists()
    assert (tmp_path / "it.svg").exists()
    thinned = bathkin("rate", NAME, "--polarisation", "-900 mV:-400 mV")
    assert thinned.code == 0
    assert "one of 10 of 201 points" in thinned.out
    points = bathkin("rate", NAME, "--json").document()["points"]
    assert list(points[0]["partial_currents_ma_cm2"]) == BRANCHES
    assert "potential" in bathkin("rate", NAME).out


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("rate nickel-acid --polarisation -0.9:-0.4", NAME),
        (f"rate {NAME} --polarisation -0.9", "low:high"),
        (f"rate {NAME} --polarisation -0.9:-0.4:1", "low:high:count"),
        (f"rate {NAME} --polarisation -0.9:-0.9", "two different numbers"),
        (f"rate {NAME} --polarisation -9:-4", "between -3 and 3 V SHE"),
        (f"rate {NAME} --polarisation -0.9:-0.4 --plot it.doc", "a picture file that ends in"),
        (f"rate {NAME} --reference SCE", "--reference needs --polarisation"),
        (f"rate {NAME} --polarisation -0.9:-0.4 --vary operation.ph=4,5", "ask one"),
        (
            f"rate {NAME} --set hypophosphite_oxidation.reference_potential_v_she=-640",
            "a potential between -2.5 and 2.5",
        ),
    ],
)
def test_wrong_input_is_named(bathkin: Command, line: str, words: str) -> None:
    outcome = bathkin(*line.split())
    assert outcome.code == 2
    assert words in outcome.err
