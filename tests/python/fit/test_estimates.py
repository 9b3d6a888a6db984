"""Estimates of a fit by path and as a table; predictions for a table of runs."""

from __future__ import annotations

import warnings

import bathkin as bk
import numpy as np
import pandas as pd
import pytest

RATE, ENERGY = "deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"


@pytest.fixture(scope="module")
def found() -> bk.Fit:
    runs = pd.DataFrame(
        {
            "temperature_c": [75, 80, 85, 90, 95],
            "deposition_um_h": [8.1, 11.3, 14.6, 19.9, 25.2],
        }
    )
    return bk.fit("nickel-acid", runs, free=[RATE, ENERGY])


def test_an_estimate_by_its_path(found: bk.Fit) -> None:
    assert found[ENERGY] == found.estimates[1]
    assert found[ENERGY].path == ENERGY


def test_a_path_that_was_not_free_names_the_nearest(found: bk.Fit) -> None:
    with pytest.raises(KeyError, match=f"did you mean {ENERGY}") as refused:
        found["deposition.activation_energy_kj"]
    assert isinstance(refused.value, bk.UnknownNameError)
    assert refused.value.valid == [RATE, ENERGY]


def test_estimates_are_a_table(found: bk.Fit) -> None:
    table = found.table()
    assert list(table.index) == [RATE, ENERGY]
    assert table["value"][ENERGY] == found[ENERGY].value
    assert table["low95"][ENERGY] < table["value"][ENERGY] < table["high95"][ENERGY]
    assert (table["status"] == "ok").all()


def test_runs_of_a_table_are_predicted(found: bk.Fit) -> None:
    asked = pd.DataFrame(
        {"temperature_c": [80.0, 90.0], "time_min": [np.nan, 30.0]}, index=["a", "b"]
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", bk.BathkinWarning)
        table = found.predict(asked)
        alone = found.predict({"temperature_c": 80})
    assert list(table.index) == ["a", "b"]
    assert list(table["quantity"]) == ["deposition_um_h", "thickness_um"]
    assert table["value"]["a"] == alone.value
    assert (table["confidence_low"]["a"], table["confidence_high"]["a"]) == tuple(alone.confidence)
    assert (table["prediction_low"] < table["confidence_low"]).all()


def test_statistics_have_the_names_of_lmfit_and_statsmodels(found: bk.Fit) -> None:
    assert (found.ndata, found.nvarys, found.nfree) == (5, 2, 3)
    assert found.nfev > 0
    assert found.chisqr == pytest.approx((found.columns["residual"] ** 2).sum())
    assert found.redchi == pytest.approx(found.chisqr / 3)
    assert found.covar[ENERGY][ENERGY] == pytest.approx(found[ENERGY].standard_error ** 2)
    correlation = found.covar[RATE][ENERGY] / np.sqrt(
        found.covar[RATE][RATE] * found.covar[ENERGY][ENERGY]
    )
    assert correlation == pytest.approx(found.correlation()[RATE][ENERGY])
    assert found.llf is not None
    assert found.bic - found.aic == pytest.approx(3 * (np.log(5) - 2))


def test_a_search_starts_where_it_is_told(found: bk.Fit) -> None:
    runs = found.runs
    elsewhere = bk.fit("nickel-acid", runs, free=[RATE, ENERGY], start={ENERGY: "80 kJ/mol"})
    assert elsewhere[ENERGY].value == pytest.approx(found[ENERGY].value, rel=1e-6)
    with pytest.raises(bk.BathkinError, match=r"deposition\.order\.nickel"):
        bk.fit("nickel-acid", runs, free=[RATE], start={"deposition.order.nickel": 0.5})
    with pytest.raises(bk.DataError, match="start = 80"):
        bk.fit("nickel-acid", runs, free=[RATE], start=80)  # type: ignore[arg-type]
