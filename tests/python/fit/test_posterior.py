"""The posterior of a fit without a chain."""

from __future__ import annotations

import json
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
# Invented: rates of a bath, um/h, with scatter.
RUNS = pd.DataFrame(
    {
        "temperature_c": [76.0, 80.0, 84.0, 88.0, 90.0, 92.0],
        "deposition_um_h": [9.1, 11.9, 14.2, 18.3, 20.9, 22.3],
    }
)


@pytest.fixture(scope="module")
def fitted() -> bk.Fit:
    return bk.fit("nickel-acid", RUNS, free=[RATE, ENERGY], relative_sigma=0.03, sigma="known")


def test_draws_are_those_of_the_estimates(fitted: bk.Fit) -> None:
    """A straight model in the logarithm: normal about the estimate; five standard errors."""
    found = fitted.posterior(effective=2000, seed=3)
    assert found.trusted
    assert not found.remarks
    assert found.effective >= 2000
    assert found.draws.shape == (len(found.weights), 2)
    assert found.weights.sum() == pytest.approx(1.0, abs=1e-12)
    energy, estimate = found.marginals[1], fitted[ENERGY]
    error = estimate.standard_error
    assert error is not None
    assert abs(energy.mean - estimate.value) < 0.12 * error
    assert energy.standard_deviation == pytest.approx(error, rel=0.12)
    assert energy.interval95 == pytest.approx(
        (estimate.value - 1.96 * error, estimate.value + 1.96 * error), abs=0.3 * error
    )
    equal = found.table()
    assert list(equal.columns) == [RATE, ENERGY]
    assert len(equal) == int(found.effective)
    assert equal[ENERGY].mean() == pytest.approx(energy.mean, abs=0.12 * error)
    assert fitted.posterior(effective=2000, seed=3) == found
    assert fitted.posterior(effective=2000, seed=4) != found
    assert pickle.loads(pickle.dumps(found)) == found
    assert found.log_posterior[:3] == pytest.approx(
        fitted.log_posterior(found.draws[:3]), abs=1e-10
    )


@pytest.mark.filterwarnings("ignore::FutureWarning", "ignore::DeprecationWarning")
def test_a_chain_says_the_same(fitted: bk.Fit) -> None:
    """emcee draws from the same density by other means; a tenth of a standard deviation, 10 %."""
    pytest.importorskip("emcee")
    chain = fitted.sample(steps=1500, burn_in=200, seed=5).table()
    found = fitted.posterior(effective=5000)
    for one in found.marginals:
        assert chain[one.path].mean() == pytest.approx(one.mean, abs=0.1 * one.standard_deviation)
        assert chain[one.path].std() == pytest.approx(one.standard_deviation, rel=0.1)


@pytest.mark.filterwarnings("ignore::FutureWarning", "ignore::DeprecationWarning")
def test_arviz_gets_draws_of_equal_weight(fitted: bk.Fit) -> None:
    pytest.importorskip("arviz")
    group = fitted.to_arviz().posterior
    count = int(fitted.posterior().effective)
    assert group[ENERGY].shape == (1, count)


def test_what_is_open_is_refused(fitted: bk.Fit) -> None:
    flat = pd.DataFrame({"temperature_c": [82.0] * 4, "deposition_um_h": [12.0, 12.3, 11.9, 12.2]})
    unknown = bk.fit("nickel-acid", flat, free=[RATE, ENERGY])
    with pytest.raises(bk.DataError, match="a prior"):
        unknown.posterior()
    with pytest.raises(bk.DataError, match="effective = 3"):
        fitted.posterior(effective=3)
    with pytest.raises(bk.DataError, match="at most 100000"):
        fitted.posterior(effective=10**7)


def test_few_points_are_said(fitted: bk.Fit) -> None:
    found = fitted.posterior(effective=5000, most=400)
    assert [one.code for one in found.remarks] == ["few-effective"]
    assert "allow more points" in found.summary()


def test_the_picture_and_the_summary(fitted: bk.Fit, tmp_path: Path) -> None:
    found = fitted.posterior()
    text = found.summary()
    assert "95 % from" in text
    assert "Pareto k" in text
    assert max(map(len, text.splitlines())) <= 110
    picture = tmp_path / "posterior.png"
    figure = found.plot(picture)
    assert picture.stat().st_size > 10_000
    labels = [axes.get_xlabel() for axes in figure.axes if axes.get_xlabel()]
    assert labels == ["rate\nmol/(m² s)", "activation energy\nkJ/mol"]


def test_the_command_draws(bathkin: Callable[..., Any], tmp_path: Path) -> None:
    runs = tmp_path / "runs.csv"
    runs.write_text(RUNS.to_csv(index=False))
    asked = ("fit", "nickel-acid", str(runs), "--free", RATE, "--free", ENERGY)
    told = bathkin(*asked, "--posterior", "500", "--json")
    drawn = json.loads(told.out)["posterior"]
    assert drawn["trusted"]
    assert drawn["effective"] > 400
    assert [one["path"] for one in drawn["marginals"]] == [RATE, ENERGY]
    assert "independent draws" in bathkin(*asked, "--posterior", "500").out
    refused = bathkin(*asked, "--posterior", "3")
    assert refused.code == 2
    assert np.isfinite(drawn["pareto_k"])
