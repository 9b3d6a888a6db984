"""`bathkin ensemble`."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from support import Outcome

Command = Callable[..., Outcome]
ASKED = ("ensemble", "nickel-acid", "--set", "limits.turnovers=0.3")
DRAWN = ("--draw", "operation.ph=normal(4.8, 0.05)", "--members", "20")


def test_it_prints_spread_and_limits(bathkin: Command, tmp_path: Path) -> None:
    csv, plot = tmp_path / "members.csv", tmp_path / "spread.png"
    found = bathkin(*ASKED, *DRAWN, "--csv", str(csv), "--plot", str(plot))
    assert found.code == 0
    assert "20 members of nickel-acid, random, seed 0" in found.out
    assert "dump.plating_h" in found.out
    assert "first limit" in found.out
    assert max(map(len, found.out.splitlines())) <= 100
    table = pd.read_csv(csv)
    assert list(table)[:2] == ["member", "operation.ph"]
    assert len(table) == 20
    assert plot.stat().st_size > 10_000


def test_its_document(bathkin: Command) -> None:
    told = bathkin(*ASKED, *DRAWN, "--output", "make_up.deposition_um_h", "--json").document()
    assert (told["command"], told["done"], told["complete"]) == ("ensemble", 20, True)
    (output,) = told["outputs"]
    assert output["output"] == "make_up.deposition_um_h"
    assert output["least"] < output["p10"] < output["p50"] < output["p90"] < output["greatest"]
    assert told["inputs"]["seed"] == 0


def test_workers_and_parts_change_nothing(bathkin: Command, tmp_path: Path) -> None:
    whole = bathkin(*ASKED, *DRAWN, "--json").document()
    assert bathkin(*ASKED, *DRAWN, "--json", "--workers", "2").document() == whole
    files = []
    for part in ("0:16", "16:20"):
        files += ["--checkpoint", str(tmp_path / f"{part[0]}.ens")]
        assert bathkin(*ASKED, *DRAWN, "--part", part, *files[-2:]).code == 0
    assert bathkin(*ASKED, *DRAWN, "--json", *files).document() == whole


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ([], "neither: expected one of --draw, --vary and --table"),
        (["--draw", "operation.ph"], '--draw operation.ph: expected "PATH=normal(mean, sd)"'),
        (
            [*DRAWN, "--vary", "operation.ph=4.8"],
            "--draw and --vary: expected one of --draw, --vary and --table",
        ),
        ([*DRAWN, *DRAWN[:2]], "--draw: operation.ph is there twice"),
        ([*DRAWN, "--part", "5"], "--part 5: expected FROM:TO"),
        ([*DRAWN, "--output", "dump.hours"], "no output is called 'dump.hours'"),
        ([*DRAWN, "--sampling", "sobol"], "members = 20: expected a power of two, such as 32"),
        (["--table", "nowhere.csv"], "nowhere.csv"),
    ],
)
def test_refusals(bathkin: Command, options: list[str], told: str) -> None:
    outcome = bathkin(*ASKED, *options)
    assert outcome.code == 2
    assert told in outcome.err


def test_ctrl_c_prints_what_is_done() -> None:
    command = [sys.executable, "-m", "bathkin", *ASKED, *DRAWN[:2], "--members", "200000", "--json"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    time.sleep(5.0)
    assert process.poll() is None, process.communicate()
    process.send_signal(signal.SIGINT)
    printed, _ = process.communicate(timeout=60)
    assert process.returncode == 130
    told = json.loads(printed)
    assert not told["complete"]
    assert 0 < told["done"] < 200_000


def test_uncertainty_of_a_rate(bathkin: Command) -> None:
    told = bathkin("rate", "nickel-acid", "--uncertainty", "--json").document()["uncertainty"]
    names = [one["output"] for one in told["outputs"]]
    assert names == ["make_up.deposition_um_h", "make_up.phosphorus_wt_pct"]
    drivers = told["drivers"]["make_up.phosphorus_wt_pct"]
    assert len(drivers) == 10
    assert drivers[0]["share"] == pytest.approx(drivers[0]["rank_correlation"] ** 2)
    text = bathkin("rate", "nickel-acid", "--uncertainty").out
    assert "make_up.deposition_um_h: width by" in text
    assert max(map(len, text.splitlines())) <= 100


def test_uncertainty_of_a_solution_counts_its_solids(bathkin: Command) -> None:
    told = bathkin("solution", "lab", "--uncertainty")
    assert told.code == 2
    asked = ("solution", "gold-borohydride", "--uncertainty", "--json")
    found = bathkin(*asked).document()["uncertainty"]
    assert found["outputs"][0]["output"] == "make_up.ph_25c"
    for options in (["--to-ph", "12"], ["--over-ph", "11:13"], ["--sensitivities"]):
        outcome = bathkin("solution", "nickel-acid", "--uncertainty", *options)
        assert outcome.code == 2
    assert bathkin("rate", "nickel-acid", "--uncertainty", "--vary", "operation.ph=4.8").code == 2
    assert bathkin("life", "nickel-acid", "--uncertainty", "--past-limits").code == 2


def test_uncertainty_of_a_life(bathkin: Command) -> None:
    told = bathkin(
        *("life", "nickel-acid", "--set", "limits.turnovers=0.3", "--uncertainty", "--json")
    ).document()["uncertainty"]
    assert told["done"] == 256
    assert sum(told["first_limits"].values()) == 256 - told["failed"]
