"""Whatever is handed to a public call, the answer or one refusal in words comes back."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import bathkin as bk
import numpy as np
import pandas as pd
import pint
import pytest

RATE = "deposition.rate_mol_m2_s"
ENERGY = "deposition.activation_energy_kj_mol"
PH, PH_OUT = "operation.ph", "make_up.ph"
BOX = {PH: (4.6, 5.0)}
# Invented.
RUNS = pd.DataFrame(
    {"temperature_c": [75, 80, 85, 90, 95], "deposition_um_h": [8.1, 11.3, 14.6, 19.9, 25.2]}
)
LOG = pd.DataFrame(
    {"time_h": [0, 2, 4], "area_in_tank_dm2": [0, 300, 300], "nickel_g_l": [6, 4.8, 3.9]}
)


class Odd:
    """Something that no call expects."""


ODD: list[Any] = [
    None,
    Odd(),
    [],
    {},
    "",
    "x\0y",
    10**400,
    -(10**5000),
    float("nan"),
    np.array([1.0, 2.0]),
    np.array(3.0),
    b"x",
    1j,
    True,
    [None],
    {1: 2},
    {"a": None},
    (2, 1),
    pd.Series([1, 2]),
    pd.NaT,
]


@pytest.fixture(scope="module")
def found(recipe: bk.Recipe) -> bk.Fit:
    return bk.fit(recipe, RUNS, [RATE, ENERGY])


@pytest.fixture(scope="module")
def short(recipe: bk.Recipe) -> bk.Recipe:
    return recipe.set("limits.turnovers", 0.1)


# Each call with one argument that is odd.
CALLS: dict[str, Callable[[Any, bk.Fit, bk.Recipe], Any]] = {
    "load_recipe": lambda odd, fit, short: bk.load_recipe(odd),
    "fit recipe": lambda odd, fit, short: bk.fit(odd, RUNS, [RATE]),
    "fit data": lambda odd, fit, short: bk.fit(short, odd, [RATE]),
    "fit free": lambda odd, fit, short: bk.fit(short, RUNS, odd),
    "fit bounds": lambda odd, fit, short: bk.fit(short, RUNS, [RATE], bounds={RATE: odd}),
    "fit per": lambda odd, fit, short: bk.fit(short, RUNS, [RATE], per={RATE: odd}),
    "fit priors": lambda odd, fit, short: bk.fit(short, RUNS, [RATE], priors={RATE: odd}),
    "fit starts": lambda odd, fit, short: bk.fit(short, RUNS, [RATE], starts=odd),
    "fit loss_scale": lambda odd, fit, short: bk.fit(short, RUNS, [RATE], loss_scale=odd),
    "fit sigma": lambda odd, fit, short: bk.fit(short, RUNS, [RATE], sigma=odd),
    "compare_models": lambda odd, fit, short: bk.compare_models(short, odd, RUNS),
    "compare_models candidate": lambda odd, fit, short: bk.compare_models(short, {"a": odd}, RUNS),
    "fit_many": lambda odd, fit, short: bk.fit_many(odd, [RATE]),
    "fit_many tank": lambda odd, fit, short: bk.fit_many({"a": odd}, [RATE]),
    "fit_many data": lambda odd, fit, short: bk.fit_many({"a": (short, odd)}, [RATE]),
    "fit_many free": lambda odd, fit, short: bk.fit_many({"a": (short, RUNS)}, odd),
    "fit_many own": lambda odd, fit, short: bk.fit_many({"a": (short, RUNS, odd)}, [RATE]),
    "sweep": lambda odd, fit, short: bk.sweep(short, odd),
    "sweep values": lambda odd, fit, short: bk.sweep(short, {"operation.ph": odd}),
    "ensemble": lambda odd, fit, short: bk.ensemble(short, odd, [PH_OUT]),
    "ensemble draws": lambda odd, fit, short: bk.ensemble(short, {PH: odd}, [PH_OUT]),
    "ensemble spread": lambda odd, fit, short: bk.ensemble(short, {PH: ("normal", odd)}, [PH_OUT]),
    "ensemble outputs": lambda odd, fit, short: bk.ensemble(short, {PH: [4.8]}, odd),
    "ensemble part": lambda odd, fit, short: bk.ensemble(short, {PH: [4.8]}, [PH_OUT], part=odd),
    "optimise": lambda odd, fit, short: bk.optimise(short, odd, most=PH_OUT, points=4),
    "optimise bounds": lambda odd, fit, short: bk.optimise(short, {PH: odd}, most=PH_OUT, points=4),
    "optimise goal": lambda odd, fit, short: bk.optimise(short, BOX, most=odd, points=4),
    "optimise limits": lambda odd, fit, short: bk.optimise(
        short, BOX, most=PH_OUT, limits={PH_OUT: odd}, points=4
    ),
    "optimise points": lambda odd, fit, short: bk.optimise(short, BOX, most=PH_OUT, points=odd),
    "trade_off": lambda odd, fit, short: bk.trade_off(
        short, BOX, most=[PH_OUT, "make_up.metal_g_l"], count=odd, points=4
    ),
    "simulate_life": lambda odd, fit, short: bk.simulate_life(odd),
    "start": lambda odd, fit, short: bk.simulate_life(short, start=odd),
    "compare start": lambda odd, fit, short: bk.compare(short, {"a": {}}, horizon_h=1, start=odd),
    "progress": lambda odd, fit, short: bk.simulate_life(short, progress=odd),
    "compare": lambda odd, fit, short: bk.compare(short, odd, horizon_h=1),
    "compare settings": lambda odd, fit, short: bk.compare(short, {"a": odd}, horizon_h=1),
    "horizon": lambda odd, fit, short: bk.compare(short, {"a": {}}, horizon_h=odd),
    "read_runs": lambda odd, fit, short: bk.read_runs(odd),
    "read_log": lambda odd, fit, short: bk.read_log(odd),
    "fit_arrhenius": lambda odd, fit, short: bk.fit_arrhenius([350.0, 360, 370], odd),
    "set path": lambda odd, fit, short: short.set(odd, 1.0),
    "set value": lambda odd, fit, short: short.set("operation.ph", odd),
    "get": lambda odd, fit, short: short.get(odd),
    "plan shift_h": lambda odd, fit, short: short.plan(odd),
    "plan now": lambda odd, fit, short: short.plan(8, odd),
    "plan calendar": lambda odd, fit, short: short.plan(8, calendar=odd),
    "steady_bleed": lambda odd, fit, short: short.steady_bleed(odd),
    "bleed_for": lambda odd, fit, short: short.bleed_for(odd),
    "life_sensitivity": lambda odd, fit, short: short.life_sensitivity([odd]),
    "life_sensitivity by": lambda odd, fit, short: short.life_sensitivity([RATE], by=odd),
    "plate": lambda odd, fit, short: short.make_up().plate(odd, 5),
    "plate substrate": lambda odd, fit, short: short.make_up().plate(5, 5, substrate=odd),
    "distribution": lambda odd, fit, short: short.make_up().distribution("nickel", odd),
    "titration": lambda odd, fit, short: short.make_up().titration(odd, [5.0]),
    "precipitation_ph": lambda odd, fit, short: short.make_up().precipitation_ph(odd),
    "amount_for_ph": lambda odd, fit, short: short.make_up().amount_for_ph(odd, 5.0),
    "interval": lambda odd, fit, short: fit.interval(odd),
    "level": lambda odd, fit, short: fit.interval(RATE, level=odd),
    "predict": lambda odd, fit, short: fit.predict(odd),
    "predict value": lambda odd, fit, short: fit.predict({"temperature_c": odd}),
    "bootstrap": lambda odd, fit, short: fit.bootstrap(odd),
    "resampling": lambda odd, fit, short: fit.bootstrap(2, resampling=odd),
    "log_posterior": lambda odd, fit, short: fit.log_posterior(odd),
    "walkers": lambda odd, fit, short: fit.sample(2, 0, walkers=odd),
    "posterior": lambda odd, fit, short: fit.posterior(odd, most=1000),
    "next_runs": lambda odd, fit, short: fit.next_runs(odd),
    "next_runs aim": lambda odd, fit, short: fit.next_runs({"temperature_c": [80]}, aim=odd),
    "forecast": lambda odd, fit, short: fit.forecast(odd, count=1),
    "forecast made_up": lambda odd, fit, short: fit.forecast(short, count=1, made_up=odd),
    "labels": lambda odd, fit, short: fit.recipe(odd),
}


@pytest.mark.parametrize("name", CALLS)
def test_only_refusals_in_words_come_out(name: str, found: bk.Fit, short: bk.Recipe) -> None:
    if name == "walkers":
        pytest.importorskip("emcee")
    for odd in ODD:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with suppress(bk.BathkinError, OSError):
                CALLS[name](odd, found, short)


def test_names_stand_for_recipes(recipe: bk.Recipe) -> None:
    named = bk.fit("nickel-acid", RUNS, [RATE])
    assert named == bk.fit(recipe, RUNS, [RATE])
    assert bk.compare_models("nickel-acid", {"a": [RATE]}, RUNS).ranked[0].name == "a"
    assert named.forecast("nickel-acid", count=1).recipe == recipe
    assert bk.forecast("nickel-acid", RUNS, count=1).recipe == recipe


def test_a_value_of_a_recipe_in_any_form(recipe: bk.Recipe) -> None:
    units = pint.UnitRegistry()
    path = "operation.temperature_c"
    for value in (
        85,
        np.array(85.0),
        np.float32(85),
        units.Quantity(185.0, "degF"),
        units.Quantity(np.array(358.15), "kelvin"),
    ):
        assert recipe.set(path, value).get(path) == pytest.approx(85.0, abs=1e-9)
    spread = bk.sweep(recipe, {path: units.Quantity([80.0, 85.0], "degC")})
    assert spread[path].tolist() == [80.0, 85.0]
    assert recipe.set("work.loading_dm2_l", units.Quantity(1, "ft**2/gal")).get(
        "work.loading_dm2_l"
    ) == pytest.approx(2.4542, rel=1e-4)
    with pytest.raises(bk.RecipeError, match=r"got 2 values, expected one: .*bathkin\.sweep"):
        recipe.set(path, np.array([80.0, 85.0]))
    with pytest.raises(bk.RecipeError, match="measures something else"):
        recipe.set(path, units.Quantity(3, "m"))
    with pytest.raises(bk.RecipeError, match="a whole number of about 400 digits"):
        recipe.set(path, 10**400)


def test_refusals_say_what_was_expected(recipe: bk.Recipe, found: bk.Fit) -> None:
    for call, told in (
        (lambda: found.predict([80]), "predict: expected a dictionary of settings"),  # type: ignore[arg-type]
        (lambda: bk.read_runs("a\0b"), r"'a\\x00b': that is no name of a file"),
        (lambda: bk.fit(recipe, RUNS, [RATE], bounds={RATE: (2, 1)}), "expected the low end first"),
        (lambda: bk.fit(7, RUNS, [RATE]), "load_recipe: got int: expected the name of a recipe"),  # type: ignore[arg-type]
    ):
        with pytest.raises(bk.BathkinError, match=told):
            call()


def test_counts_are_bounded_before_anything_is_made(
    bathkin: Callable[..., Any], recipe: bk.Recipe, found: bk.Fit, tmp_path: Any
) -> None:
    many = 10**9
    grid = np.linspace(4.4, 5.2, 1000)
    wide = {"operation.ph": grid, "operation.temperature_c": np.linspace(80, 94, 1000)}
    for call, told in (
        (lambda: found.bootstrap(many), "replicates = 1000000000: .*at most 100000"),
        (lambda: found.forecast(count=many), "count = 1000000000: .*at most 100000"),
        (lambda: found.next_runs({"temperature_c": [80]}, count=many), "at most 1000"),
        (lambda: found.next_runs({"temperature_c": [80]}, at_most=many), "at most 1000"),
        (lambda: bk.sweep(recipe, wide), "1000000 combinations of values: expected at most 100000"),
        (
            lambda: found.next_runs({"temperature_c": np.linspace(80, 94, 1000), "ph": grid}),
            "1000000 combinations of values",
        ),
        (lambda: bk.fit(recipe, RUNS, [RATE], starts=many), "at most 10000"),
        (lambda: found.course(0, many), "at most 100000"),
        (lambda: recipe.make_up().distribution("nickel", np.zeros(20_000)), "at most 10000 values"),
    ):
        with pytest.raises(bk.BathkinError, match=told):
            call()
    runs = tmp_path / "runs.csv"
    runs.write_text(RUNS.to_csv(index=False))
    for options in (("--bootstrap", str(many)), ("--starts", str(many))):
        outcome = bathkin("fit", "nickel-acid", str(runs), "--free", RATE, *options)
        assert outcome.code == 2
        assert f"{many} is not in the range" in outcome.err


def test_the_steps_of_a_sampler_are_bounded(found: bk.Fit) -> None:
    pytest.importorskip("emcee")
    for asked, told in (
        ({"steps": 10**9}, "at most 1000000"),
        ({"walkers": 10**9}, "at most 10000"),
        ({"steps": 10**6, "walkers": 1000}, "expected at most 50000000 values: take fewer steps"),
    ):
        with pytest.raises(bk.DataError, match=told):
            found.sample(**asked)
