"""Batches, beakers and days as random effects: what is given, how it prints, what is refused."""

from __future__ import annotations

import json
import pickle
from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import numpy as np
import pandas as pd
import pytest
from support import Outcome

Command = Callable[..., Outcome]

RATE, ENERGY = "deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"

# Invented: batch b plates faster, d slower.
RUNS = pd.DataFrame(
    {
        "batch": list("aabbccddee"),
        "temperature_c": [80, 90, 80, 90, 82, 88, 82, 88, 85, 91],
        "deposition_um_h": [11.2, 19.7, 12.1, 21.6, 12.6, 17.9, 11.4, 16.3, 14.6, 20.9],
    }
)


@pytest.fixture(scope="module")
def found() -> bk.Fit:
    return bk.fit("nickel-acid", RUNS, free=[RATE, ENERGY], group="batch")


def test_groups_have_standard_deviations_and_effects(found: bk.Fit) -> None:
    effects = found.random_effects
    assert effects is not None
    assert effects.labels == ["batch"]
    between, within = effects.components
    assert (between.name, between.count, between.unit) == ("batch", 5, "relative")
    assert (within.name, within.count) == ("within", 10)
    assert between.interval95 is not None
    assert between.interval95[0] < between.standard_deviation < between.interval95[1]
    groups = effects.groups
    assert groups.group == list("abcde")
    assert isinstance(groups.effect, np.ndarray)
    assert groups.effect[1] > 0 > groups.effect[3]
    assert abs(groups.effect.sum()) < 0.02


def test_intervals_have_degrees_of_freedom_of_their_own(found: bk.Fit) -> None:
    rate, energy = (one.degrees_of_freedom for one in found.estimates)
    assert rate is not None
    assert energy is not None
    # The rate is told by five batches, the energy by ten runs less five batches and itself.
    assert 3.5 < rate < 4.5
    assert energy == pytest.approx(4.0, abs=0.05)
    plain = bk.fit("nickel-acid", RUNS, free=[RATE, ENERGY])
    assert [one.degrees_of_freedom for one in plain.estimates] == [8.0, 8.0]
    assert plain.random_effects is None


def test_the_summary_and_the_document_show_them(found: bk.Fit) -> None:
    text = found.summary()
    assert "d.f." in text
    assert "standard deviation" in text
    assert "effect (relative)" in text
    assert "runs of one batch are off together" in text
    assert "batch has 5 groups" in text
    assert max(map(len, text.splitlines())) <= 100
    effects = found.to_dict()["random_effects"]
    assert effects["components"][0]["name"] == "batch"
    assert json.loads(json.dumps(effects))["groups"]["group"] == list("abcde")


def test_it_pickles(found: bk.Fit) -> None:
    again = pickle.loads(pickle.dumps(found))
    assert again.random_effects == found.random_effects
    assert again.profile(ENERGY)[0] == pytest.approx(found.interval(ENERGY)[0], rel=0.05)


def test_a_label_that_nobody_named_is_remarked_on() -> None:
    plain = bk.fit("nickel-acid", RUNS, free=[RATE, ENERGY])
    said = [remark for remark in plain.remarks if remark.code == "label-explains"]
    assert len(said) == 1
    assert said[0].values["label"] == "batch"
    assert said[0].values["p_value"] < 0.01
    assert "--group batch" in said[0].text


def test_numbers_are_labels_too() -> None:
    numbered = RUNS.assign(batch=[1, 1, 2, 2, 3, 3, 4, 4, 5, 5]).rename(columns={"batch": "day"})
    found = bk.fit("nickel-acid", numbered, free=[RATE, ENERGY], group=["day"])
    assert found.random_effects is not None
    assert found.random_effects.groups.group == list("12345")


def test_two_labels_of_which_one_lies_within_the_other() -> None:
    nested = pd.concat([RUNS, RUNS.assign(deposition_um_h=RUNS.deposition_um_h * 1.02)])
    nested = nested.assign(beaker=[f"{batch}{half}" for half in (1, 2) for batch in RUNS.batch])
    found = bk.fit("nickel-acid", nested, free=[RATE, ENERGY], group=["beaker", "batch"])
    assert found.random_effects is not None
    assert found.random_effects.labels == ["batch", "beaker"]
    assert [one.count for one in found.random_effects.components] == [5, 10, 20]


@pytest.mark.parametrize(
    ("group", "said"),
    [
        ("line", "line has 2 groups: expected at least 3"),
        (["batch", "line", "run"], "expected one, or two of which one lies within the other"),
        ("run", "each run has one row"),
        ("day", r"row 1, day = \(empty\): expected a label in every measured run"),
        (3, "group = 3: expected a column of labels, or two of them"),
        ({"batch": 1}, "expected a column of labels"),
    ],
)
def test_groups_that_cannot_be_used(group: object, said: str) -> None:
    runs = RUNS.assign(line=list("aaaaabbbbb"))
    with pytest.raises(bk.DataError, match=said):
        bk.fit("nickel-acid", runs, free=[RATE, ENERGY], group=group)  # type: ignore[arg-type]


def test_what_random_effects_do_not_go_with(found: bk.Fit) -> None:
    with pytest.raises(bk.DataError, match="not fitted beside priors"):
        bk.fit("nickel-acid", RUNS, [RATE, ENERGY], group="batch", priors={ENERGY: (60, 5)})
    with pytest.raises(bk.DataError, match="a fit with groups is not repeated on drawn data"):
        found.bootstrap(10)


def test_the_command(bathkin: Command, tmp_path: Path) -> None:
    path = tmp_path / "runs.csv"
    RUNS.to_csv(path, index=False)
    free = ["--free", RATE, "--free", ENERGY]
    outcome = bathkin("fit", "nickel-acid", str(path), *free, "--group", "batch", "--json")
    assert outcome.code == 0
    document = json.loads(outcome.out)
    assert document["random_effects"]["labels"] == ["batch"]
    assert document["estimates"][1]["degrees_of_freedom"] < 5
    refused = bathkin("fit", "nickel-acid", str(path), *free, "--group", "bath")
    assert refused.code == 2
    assert "bath = (empty): expected a label in every measured run" in refused.err
