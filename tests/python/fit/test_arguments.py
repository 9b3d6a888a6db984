"""Arguments of fits that are not what they have to be: one refusal, never an error from inside."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest

RATE = "deposition.rate_mol_m2_s"
ENERGY = "deposition.activation_energy_kj_mol"
Command = Callable[..., Any]
# Invented.
RUNS = pd.DataFrame(
    {"temperature_c": [75, 80, 85, 90, 95], "deposition_um_h": [8.1, 11.3, 14.6, 19.9, 25.2]}
)


@pytest.fixture(scope="module")
def found(recipe: bk.Recipe) -> bk.Fit:
    return bk.fit(recipe, RUNS, [RATE, ENERGY])


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"bounds": {RATE: (math.nan, 1)}}, f"bounds of {RATE} = nan: expected a number"),
        ({"ties": {ENERGY: (RATE, math.nan)}}, "factor = nan: expected a number"),
        ({"errors": {"deposition_um_h": ("relative", "2 %")}}, "2 %: expected a number above zero"),
        ({"errors": {"deposition_um_h": ("absolute", -1)}}, "-1.0: expected a number above zero"),
        ({"relative_sigma": "5 %"}, "relative_sigma = 5 %: expected a number above zero"),
        ({"loss_scale": "2"}, "loss_scale = 2: expected a number above zero"),
        ({"starts": "abc"}, "starts = abc: expected a whole number"),
        ({"seed": 1.5}, "seed = 1.5: expected a whole number"),
        ({"priors": {ENERGY: (math.nan, 1)}}, "mean of the prior"),
        ({"bounds": [1]}, "bounds = [1]: expected a dictionary of paths"),
        ({"errors": ("absolute", 1)}, "expected a dictionary of paths or columns"),
        ({"free": [5]}, "free = [5]: expected paths of numbers"),
    ],
)
def test_a_question_that_cannot_be_asked(
    recipe: bk.Recipe, asked: dict[str, Any], told: str
) -> None:
    with pytest.raises(bk.DataError) as caught:
        bk.fit(recipe, RUNS, **{"free": [RATE], **asked})
    assert told in str(caught.value)


def test_bounds_may_be_texts_with_a_unit(power_law: bk.Recipe) -> None:
    bounded = bk.fit(power_law, RUNS, [RATE, ENERGY], bounds={ENERGY: ("62000 J/mol", "70 kJ/mol")})
    assert bounded.estimates[1].value == pytest.approx(62.0)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
@pytest.mark.parametrize(("deviation", "kelvin"), [("9 degF", 5.0), ("5 K", 5.0), (5, 5.0)])
def test_a_spread_of_temperatures_is_a_difference(
    recipe: bk.Recipe, deviation: str | float, kelvin: float
) -> None:
    priors = {"operation.temperature_c": ("190 degF", deviation)}
    runs = RUNS.drop(columns="temperature_c")
    weight = bk.fit(recipe, runs, ["operation.temperature_c"], priors=priors).prior_weights[0]
    assert weight.standard_deviation == pytest.approx(kelvin, rel=1e-12)
    assert weight.mean == pytest.approx(87.7777777778, rel=1e-10)


def test_counts_and_seeds(found: bk.Fit) -> None:
    candidates = {"rate": [RATE]}
    for call, told in (
        (lambda: found.bootstrap(1), "replicates = 1: expected a whole number, 2 or more"),
        (lambda: found.bootstrap(seed=-1), "seed = -1"),
        (lambda: found.forecast(seed=-1), "seed = -1"),
        (lambda: found.next_runs({"ph": [4.8]}, count=-1), "count = -1"),
        (lambda: found.next_runs({"ph": [4.8]}, at_most=0), "at_most = 0"),
        (lambda: found.next_runs({"ph": [4.8]}, relative_sigma="5 %"), "relative_sigma = 5 %"),
        (lambda: bk.compare_models(found.start, candidates, RUNS, folds=0), "folds"),
        (lambda: bk.compare_models(found.start, candidates, RUNS, seed=-1), "seed = -1"),
    ):
        with pytest.raises(bk.DataError) as caught:
            call()
        assert told in str(caught.value)


@pytest.mark.parametrize("made_up", ["March", pd.NaT, 3, "9999-12-31 23:00"])
def test_what_is_no_day(found: bk.Fit, made_up: Any) -> None:
    with pytest.raises(bk.DataError, match="made_up = "):
        found.forecast(count=1, made_up=made_up)


def test_a_day_of_make_up(found: bk.Fit) -> None:
    of_day = found.forecast(count=1, made_up=datetime.date(2026, 3, 1))
    assert of_day.made_up == datetime.datetime(2026, 3, 1)
    assert of_day.dump.date == found.forecast(count=1, made_up="2026-03-01 00:00").dump.date


def test_a_bath_made_up_after_its_log_is_doubted(recipe: bk.Recipe) -> None:
    log = bk.read_log(
        pd.DataFrame(
            {
                "timestamp": ["2026-03-04 08:00", "2026-03-04 10:00", "2026-03-04 12:00"],
                "area in tank (dm2)": [0, 300, 300],
                "nickel (g/L)": [6.0, 4.75, 3.85],
            }
        )
    )
    asked = {"errors": {"nickel_g_l": ("relative", 0.02)}, "sigma": "known", "count": 1}
    codes = [
        [one.code for one in bk.forecast(recipe, log, made_up=day, **asked).remarks]
        for day in ("2030-01-01", "2026-03-04 07:00")
    ]
    assert "made-up-late" in codes[0]
    assert "made-up-late" not in codes[1]


@pytest.fixture
def runs(tmp_path: Path) -> Path:
    path = tmp_path / "runs.csv"
    RUNS.to_csv(path, index=False)
    return path


def test_no_command_replaces_what_it_reads(bathkin: Command, runs: Path) -> None:
    before = runs.read_text()
    design = ("design", "nickel-acid", str(runs), "--free", RATE, "--candidates", "ph=4.6,5")
    fit = ("fit", "nickel-acid", str(runs), "--free", RATE)
    for arguments in ((*design, "--csv", str(runs)), (*fit, "--write", str(runs))):
        outcome = bathkin(*arguments)
        assert outcome.code == 2
        assert f"{runs}: that file is read: expected another one" in outcome.err
    both = str(runs.with_name("both.png"))
    outcome = bathkin("life", "nickel-acid", "--plot", both, "--cost-plot", both)
    assert outcome.code == 2
    assert "is written by --plot" in outcome.err
    recipe = runs.with_name("mine.toml")
    recipe.write_text('base = "nickel-acid"\nname = "mine"\ntitle = "mine"\n')
    outcome = bathkin("fit", str(recipe), str(runs), "--free", RATE, "--write", str(recipe))
    assert outcome.code == 2
    assert runs.read_text() == before


def test_a_place_that_is_not_there_is_told_before_the_work(
    bathkin: Command, runs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def work(*_: object) -> None:
        pytest.fail("it computed first")

    monkeypatch.setattr("bathkin.cli.fit.fitted", work)
    outcome = bathkin("fit", "nickel-acid", str(runs), "--free", RATE, "--plot", "none/fit.png")
    assert outcome.code == 2
    assert "there is no directory none to write fit.png to" in outcome.err


def test_what_was_assumed_goes_with_every_answer(bathkin: Command, runs: Path) -> None:
    runs.write_text("T [F];rate (um/h)\n" + "176;11,3\n185;14,6\n194;19,9\n203;25,2\n")
    design = ("design", "nickel-acid", str(runs), "--free", RATE, "--candidates", "ph=4.6,5")
    document = bathkin(*design, "--json").document()
    assert "decimal comma in the whole file" in [one["effect"] for one in document["assumptions"]]
    assert "decimal comma in the whole file" in bathkin(*design).out
    assert "decimal comma" not in bathkin(*design, "--quiet").out
    log = runs.with_name("log.csv")
    log.write_text("time_h;area_in_tank_dm2;nickel_g_l\n0;0;6,0\n2;300;4,75\n4;300;3,85\n")
    forecast = ("forecast", "nickel-acid", str(log), "--count", "1", "--sigma-known")
    assert "decimal comma in the whole file" in bathkin(*forecast).out
    assert bathkin(*forecast, "--json").document()["assumptions"]
    assert bathkin(*forecast, "--seed", "-1").code == 2


def test_a_path_is_asked_for_once(bathkin: Command, runs: Path) -> None:
    bounds = ("--bound", f"{RATE}=1e-5:1", "--bound", f"{RATE}=1e-6:5e-4")
    outcome = bathkin("fit", "nickel-acid", str(runs), "--free", RATE, *bounds)
    assert outcome.code == 2
    assert f"--bound of {RATE} is given twice" in outcome.err


def test_data_of_one_name_have_a_picture_each(bathkin: Command, runs: Path, tmp_path: Path) -> None:
    other = tmp_path / "later" / "runs.csv"
    other.parent.mkdir()
    other.write_text(runs.read_text())
    plot = tmp_path / "fit.png"
    files = (str(runs), str(other))
    outcome = bathkin("fit", "nickel-acid", *files, "--free", RATE, "--plot", str(plot))
    assert outcome.code == 0, outcome.err
    made = sorted(path.name for path in tmp_path.glob("*.png"))
    assert made == ["fit-runs-1.png", "fit-runs-2.png", "fit.png"]
