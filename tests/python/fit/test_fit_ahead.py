"""What follows from a fit: priors, posterior, next runs, forecasts."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import bathkin as bk
import numpy as np
import pandas as pd
import pytest

RATE = "deposition.rate_mol_m2_s"
ENERGY = "deposition.activation_energy_kj_mol"
R_KJ = 8.314462618e-3
Command = Callable[..., Any]

# Invented coupons.
RUNS = pd.DataFrame(
    {
        "temperature_c": [80.0, 84.0, 88.0, 90.0, 92.0, 86.0],
        "deposition_um_h": [11.9, 14.1, 17.6, 19.4, 21.3, 15.6],
    }
)
# Invented readings of a bath that was run for a morning.
LOG = pd.DataFrame(
    {
        "timestamp": ["2026-03-04 08:00", "2026-03-04 10:00", "2026-03-04 12:00"],
        "area in tank (dm2)": [0, 300, 300],
        "nickel (g/L)": [6.0, 4.75, 3.85],
    }
)


@pytest.fixture(scope="module")
def recipe(power_law: bk.Recipe) -> bk.Recipe:
    """The closed forms and the straight lines of this file are those of a power law."""
    return power_law


@pytest.fixture(scope="module")
def known(recipe: bk.Recipe) -> bk.Fit:
    return bk.fit(recipe, RUNS, [RATE, ENERGY], relative_sigma=0.02, sigma="known")


@pytest.fixture(scope="module")
def ahead(recipe: bk.Recipe) -> bk.Forecast:
    log = bk.read_log(LOG)
    errors = {"nickel_g_l": ("relative", 0.02)}
    return bk.forecast(recipe, log, count=12, errors=errors, sigma="known")


def test_a_pickled_fit_carries_what_was_found(
    known: bk.Fit, monkeypatch: pytest.MonkeyPatch
) -> None:
    written, interval = pickle.dumps(known), known.profile(ENERGY)

    class Again:
        def __init__(self, *_: object) -> None:
            raise AssertionError("it is fitted again")

    with monkeypatch.context() as patched:
        patched.setattr("bathkin._core.RecipeFit", Again)
        loaded = pickle.loads(written)
        assert loaded == known
        assert loaded.summary() == known.summary()
        assert loaded.estimates == known.estimates
        assert pickle.loads(pickle.dumps(loaded)) == known
    # What asks more of the data fits again, and finds the same.
    assert loaded.profile(ENERGY) == interval


def test_a_prior_is_one_more_measured_value(recipe: bk.Recipe, known: bk.Fit) -> None:
    """Closed form: ln of the rate is straight in ln rate and energy; 1e-6 by normal equations."""
    prior = bk.fit(
        recipe,
        RUNS,
        [RATE, ENERGY],
        relative_sigma=0.02,
        sigma="known",
        priors={ENERGY: (55.0, 3.0)},
    )
    kelvin = RUNS["temperature_c"].to_numpy() + 273.15
    slope = -(1.0 / kelvin - 1.0 / 361.15) / R_KJ
    per_rate = recipe.make_up().rate().deposition_um_h / recipe.get(RATE)
    design = np.vstack([np.column_stack([np.ones(6), slope]) / 0.02, [0.0, 1.0 / 3.0]])
    right = np.append(np.log(RUNS["deposition_um_h"] / per_rate) / 0.02, 55.0 / 3.0)
    expected = np.linalg.lstsq(design, right, rcond=None)[0]
    errors = np.sqrt(np.diag(np.linalg.inv(design.T @ design)))
    rate, energy = prior.estimates
    assert rate.value == pytest.approx(np.exp(expected[0]), rel=1e-6)
    assert energy.value == pytest.approx(expected[1], rel=1e-6)
    assert energy.standard_error == pytest.approx(errors[1], rel=1e-5)
    (weight,) = prior.prior_weights
    assert weight.path == ENERGY
    assert weight.weight == pytest.approx((errors[1] / 3.0) ** 2, rel=1e-4)
    assert known.prior_weights == []


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_priors_of_the_recipe(recipe: bk.Recipe) -> None:
    """The range 35 to 95 kJ/mol is two standard deviations to either side."""
    found = bk.fit(recipe, RUNS, [RATE, ENERGY], priors={ENERGY: "recipe"})
    (weight,) = found.prior_weights
    assert (weight.mean, weight.standard_deviation) == (65.0, 15.0)
    # What an earlier fit found is the prior of the next.
    first = bk.fit(recipe, RUNS, [RATE, ENERGY])
    again = bk.fit(first.recipe(), RUNS, [RATE, ENERGY], priors={ENERGY: "recipe"})
    (weight,) = again.prior_weights
    assert weight.mean == pytest.approx(first.estimates[1].value)
    assert weight.standard_deviation == pytest.approx(first.estimates[1].standard_error)
    with pytest.raises(bk.DataError, match="prior of"):
        bk.fit(recipe, RUNS, [RATE], priors={RATE: 3})
    with pytest.raises(bk.DataError, match="is not free"):
        bk.fit(recipe, RUNS, [RATE], priors={ENERGY: (65, 5)})
    with pytest.raises(bk.DataError, match="above zero"):
        bk.fit(recipe, RUNS, [ENERGY], priors={ENERGY: (65, 0)})


def test_the_posterior_of_believed_sigmas_is_normal(known: bk.Fit) -> None:
    """Closed form: -chi²/2 in ln rate and energy, over the rate; 1e-6."""
    rate, energy = (one.value for one in known.estimates)
    points = np.array(
        [[rate, energy], [rate, energy + 3.0], [1.03 * rate, energy], [-rate, energy]]
    )
    found = known.log_posterior(points)
    kelvin = RUNS["temperature_c"].to_numpy() + 273.15
    slope = -(1.0 / kelvin - 1.0 / 361.15) / R_KJ
    design = np.column_stack([np.ones(6), slope]) / 0.02
    hessian = design.T @ design

    def drop(by: list[float]) -> float:
        return -0.5 * float(np.array(by) @ hessian @ np.array(by)) - by[0]

    assert found[1] - found[0] == pytest.approx(drop([0.0, 3.0]), rel=1e-6)
    assert found[2] - found[0] == pytest.approx(drop([np.log(1.03), 0.0]), rel=1e-5)
    assert found[3] == -np.inf
    assert known.log_posterior([rate, energy]) == found[0]
    with pytest.raises(bk.DataError, match="estimates has 2"):
        known.log_posterior([rate])


@pytest.mark.filterwarnings("ignore::FutureWarning", "ignore::DeprecationWarning")
def test_samples_have_the_moments_of_the_fit(known: bk.Fit) -> None:
    """Some 250 independent samples: means to 4 standard errors of theirs, deviations to 20 %."""
    drawn = known.sample(steps=300, burn_in=50, seed=3)
    table = drawn.table()
    assert table.shape == (300 * 16, 2)
    for estimate in known.estimates:
        mean, deviation = table[estimate.path].mean(), table[estimate.path].std()
        assert abs(mean - estimate.value) < 0.25 * estimate.standard_error
        assert deviation == pytest.approx(estimate.standard_error, rel=0.2)
    again = known.sample(steps=5, burn_in=0, seed=3)
    assert np.array_equal(again.chain, known.sample(steps=5, burn_in=0, seed=3).chain)
    assert not again.long_enough
    assert "too short" in again.summary()
    assert max(map(len, drawn.summary().splitlines())) <= 100
    posterior = known.to_arviz(steps=20, burn_in=0).posterior
    assert posterior[ENERGY].shape == (16, 20)
    with pytest.raises(bk.DataError, match="even number"):
        known.sample(walkers=3)


def test_settings_are_named_as_columns_of_runs(known: bk.Fit) -> None:
    plain = {"temperature_c": 85.0, "time_min": 60, "area_cm2": 50}
    other = {"T [K]": 358.15, "duration (h)": 1, "area_dm2": "50 cm2"}
    assert known.predict(other).value == pytest.approx(known.predict(plain).value, rel=1e-12)
    assert "confidence" in repr(known.predict(plain))
    assert known.next_runs([other]).runs[0].settings == pytest.approx(plain)
    for name in ("thickness_um", "note", "sigma"):
        with pytest.raises(bk.DataError, match=f"candidates: {name} is no setting of a run"):
            known.next_runs({name: [1]})
    with pytest.raises(bk.DataError, match="area: it has no unit: expected one of area_cm2"):
        known.predict({"area": 3})
    with pytest.raises(bk.DataError, match="ph has no values"):
        known.next_runs({"ph": []})


def test_the_next_runs_lie_at_the_ends(known: bk.Fit) -> None:
    chosen = known.next_runs({"temperature_c": [70, "176 degF", 95]}, count=2, aim=ENERGY)
    assert [one.settings["temperature_c"] for one in chosen.runs] == [70.0, 95.0]
    rate, energy = chosen.expected
    assert energy.half_width95_after < energy.half_width95
    assert rate.path == RATE
    # The promise is kept when runs of that kind are made.
    more = chosen.table().rename(columns={"expected": "deposition_um_h"}).drop(columns="quantity")
    after = known.update(more)
    assert after.estimates[1].standard_error == pytest.approx(energy.standard_error_after, rel=1e-3)
    assert pickle.loads(pickle.dumps(chosen)) == chosen
    assert max(map(len, chosen.summary().splitlines())) <= 100
    listed = known.next_runs([{"temperature_c": 70}, {"temperature_c": 95, "ph": 4.8}])
    assert listed.runs[0].quantity == "deposition_um_h"
    with pytest.raises(bk.DataError, match="no candidates"):
        known.next_runs({})
    with pytest.raises(bk.DataError, match="is not free"):
        known.next_runs({"temperature_c": [70]}, aim="deposition.ph_order")
    with pytest.raises(bk.UnknownNameError):
        known.next_runs({"temperatur_c": [70]})


def test_a_forecast_is_the_spread_of_lives(ahead: bk.Forecast) -> None:
    hours = [life.clock_h for life in ahead.lives]
    assert len(hours) == 12
    for end, part in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
        assert getattr(ahead.dump.hours, end) == pytest.approx(np.quantile(hours, part))
    assert sum(ahead.first_limit.values()) == pytest.approx(1.0)
    # The life at the estimates is that of the fitted recipe.
    dump = ahead.fit.recipe().simulate_life().dump
    assert ahead.at_estimates.clock_h == pytest.approx(dump.clock_h, rel=1e-9)
    assert ahead.made_up == datetime(2026, 3, 4, 8)
    # No minutes after two weeks.
    moment = ahead.made_up + timedelta(hours=ahead.dump.hours.p50)
    assert ahead.dump.date.p50 == moment.date().isoformat()
    assert ahead.remarks[0].code == "from-make-up"
    assert pickle.loads(pickle.dumps(ahead)) == ahead
    assert pickle.loads(pickle.dumps(ahead.dump)) == ahead.dump
    assert max(map(len, ahead.summary().splitlines())) <= 100
    assert len(ahead.plot().axes) == 1


def test_a_forecast_lists_what_was_held(ahead: bk.Forecast) -> None:
    held = {one.path: one for one in ahead.held_numbers}
    assert RATE not in held
    assert held[ENERGY].kind == "invented"
    assert held[ENERGY].range == (35.0, 95.0)
    assert ahead.to_dict()["held_numbers"] == [one.to_dict() for one in ahead.held_numbers]
    strengths = [abs(one.moved) for one in ahead.held_numbers if one.moved is not None]
    assert strengths == sorted(strengths, reverse=True)
    text = ahead.summary()
    assert "held, in no spread" in text
    assert ahead.held_numbers[0].path in text
    # One of them alone does more than what is drawn.
    apart = ahead.dump.hours.p90 - ahead.dump.hours.p10
    said = {one.code: one.text for one in ahead.remarks}
    assert ("spread-of-fitted-only" in said) == (strengths[0] > apart)


def test_a_dump_before_the_end_of_the_log_is_said_to_be_past(ahead: bk.Forecast) -> None:
    early = ahead.fit.forecast(count=2, made_up="2026-02-01 08:00")
    said = {one.code: one.text for one in early.remarks}
    assert "the log goes on to 2026-03-04 12:00" in said["past"]
    assert "past" not in {one.code for one in ahead.remarks}


def test_a_fit_that_misses_its_data_warns_and_is_not_forecast(
    recipe: bk.Recipe, bathkin: Command, tmp_path: Path
) -> None:
    hours = np.arange(16.0)
    log = pd.DataFrame(
        {
            "time (h)": hours,
            "area in tank (dm2)": [0.0, *[100.0] * 15],
            "nickel (g/L)": 6.0 - 0.11 * hours + 0.5 * np.sin(0.5 * hours),
        }
    )
    with pytest.warns(bk.BathkinWarning, match="the model misses the data in nickel_g_l"):
        found = bk.fit(recipe, bk.read_log(log), [RATE])
    assert {"autocorrelated"} <= {one.code for one in found.misfit}
    assert all(one in found.remarks for one in found.misfit)
    with pytest.raises(bk.DataError, match="despite_misfit"):
        found.forecast(count=2)
    asked = found.forecast(count=2, despite_misfit=True)
    assert asked.remarks[0].code == "despite-misfit"
    path = tmp_path / "log.csv"
    log.to_csv(path, index=False)
    command = ("forecast", "nickel-acid", str(path), "--count", "2")
    refused = bathkin(*command)
    assert refused.code == 2
    assert "despite_misfit" in refused.err
    assert bathkin(*command, "--despite-misfit").code == 0


def test_a_prediction_beyond_the_data_warns(known: bk.Fit) -> None:
    with pytest.warns(bk.BathkinWarning, match=r"operation.ph: 5.200 here and 4.800 in all data"):
        found = known.predict({"temperature_c": 85, "ph": 5.2})
    assert found.flags[0].where == "operation.ph"
    assert "operation.ph" in repr(found)
    assert "deposition.ph_order" in {one.path for one in found.held_numbers}
    assert known.predict({"temperature_c": 85}).flags == []


def test_a_forecast_of_another_bath_and_its_progress(ahead: bk.Forecast) -> None:
    seen: list[float] = []
    bath = ahead.recipe.set("limits.turnovers", 2)
    other = ahead.fit.forecast(bath, count=4, made_up="2026-03-10", progress=seen.append)
    assert other.first_limit == {"turnovers": 1.0}
    assert other.dump.date.p50.startswith("2026-03-1")
    assert all(0 <= done <= 4 for done in seen)

    def stop(_done: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        ahead.fit.forecast(count=2000, progress=stop)
    with pytest.raises(bk.DataError, match="made_up"):
        ahead.fit.forecast(count=2, made_up="March")
    with pytest.raises(bk.DataError, match="whole number, 1 or more"):
        ahead.fit.forecast(count=0)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_values_below_detection_count(recipe: bk.Recipe) -> None:
    more = pd.concat([RUNS, pd.DataFrame({"temperature_c": [70.0], "deposition_um_h": ["<2"]})])
    stated: dict[str, Any] = {"relative_sigma": 0.05, "sigma": "known"}
    with_limit = bk.fit(recipe, more, [RATE, ENERGY], **stated)
    assert with_limit.columns["below"].tolist() == [False] * 6 + [True]
    assert with_limit.columns["observed"][-1] == 2.0
    # 6 um/h would be expected there: the limit says that the energy is larger.
    without = bk.fit(recipe, RUNS, [RATE, ENERGY], **stated)
    assert with_limit.estimates[1].value > without.estimates[1].value + 1.0
    assert len(with_limit.plot().axes) == 2


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_models_side_by_side(recipe: bk.Recipe) -> None:
    """Producer: AICc = n ln(chi²/n) + 2k + 2k(k+1)/(n-k-1) of each fit, written out here."""
    warm = recipe.set(ENERGY, 20)
    candidates = {
        "rate": [RATE],
        "both": {"free": [RATE, ENERGY]},
        "too warm": {"free": [RATE], "recipe": warm},
        "unknown": ["deposition.rate"],
    }
    found = bk.compare_models(recipe, candidates, RUNS, folds="each")
    names = [one.name for one in found.ranked]
    assert set(names) == {"rate", "both", "too warm"}
    assert names[-1] == "too warm"
    assert found.refused["unknown"].code == "unknown-name"
    assert "deposition.rate_mol_m2_s" in found.refused["unknown"].text
    for one in found.ranked:
        alone = found.fit(one.name)
        squares = float(np.sum(alone.columns["residual"] ** 2))
        k, n = one.counted, 6
        expected = n * np.log(squares / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)
        assert one.aicc == pytest.approx(expected, abs=1e-6)
        assert one.aicc == pytest.approx(alone.aicc, abs=1e-6)
        assert one.cross_validation_rms is not None
    assert sum(one.weight for one in found.ranked) == pytest.approx(1.0)
    assert found.table().shape[0] == 3
    assert pickle.loads(pickle.dumps(found)) == found
    assert max(map(len, found.summary().splitlines())) <= 100
    with pytest.raises(bk.UnknownNameError, match="there are: rate"):
        found.fit("cold")
    with pytest.raises(bk.DataError, match="folds"):
        bk.compare_models(recipe, candidates, RUNS, folds=1)
    with pytest.raises(bk.DataError, match="no model to compare"):
        bk.compare_models(recipe, {"unknown": ["deposition.rate"]}, RUNS)
    with pytest.raises(bk.DataError, match="odd"):
        bk.compare_models(recipe, {"odd": {"free": [RATE], "weights": 1}}, RUNS)


def test_the_command_designs_runs(bathkin: Command, tmp_path: Path) -> None:
    path, target = tmp_path / "runs.csv", tmp_path / "next.csv"
    RUNS.to_csv(path, index=False)
    arguments = ["design", "nickel-acid", str(path), "--free", RATE, "--free", ENERGY]
    arguments += ["--candidates", "temperature_c=70:95:6", "--count", "2", "--aim", ENERGY]
    outcome = bathkin(*arguments, "--json", "--csv", str(target))
    assert outcome.code == 0, outcome.err
    document = outcome.document()
    assert [one["settings"] for one in document["runs"]] == [
        {"temperature_c": 70.0},
        {"temperature_c": 95.0},
    ]
    assert document["expected"][1]["half_width95_after"] > 0.0
    assert pd.read_csv(target).shape == (2, 4)
    assert bathkin(*arguments).code == 0
    bad = bathkin(*arguments[:-6], "--candidates", "temperature_c=70:95")
    assert bad.code == 2
    assert "--candidates" in bad.err


def test_the_command_forecasts(bathkin: Command, tmp_path: Path) -> None:
    path, plot = tmp_path / "log.csv", tmp_path / "ahead.png"
    LOG.to_csv(path, index=False)
    arguments = ["forecast", "nickel-acid", str(path), "--count", "6", "--sigma-known"]
    outcome = bathkin(*arguments, "--json", "--plot", str(plot), "--prior", f"{RATE}=6e-4:1e-4")
    assert outcome.code == 0, outcome.err
    document = outcome.document()
    assert set(document["dump"]) == {"clock_h", "plating_h", "turnovers", "area_m2", "date"}
    assert document["dump"]["clock_h"]["p10"] <= document["dump"]["clock_h"]["p90"]
    assert document["first_limit"] == {"orthophosphite_mol_l": 1.0}
    assert plot.exists()
    text = bathkin(*arguments)
    assert text.code == 0
    assert "not where the log ends" in text.out
    assert bathkin(*arguments, "--made-up", "soon").code == 2
