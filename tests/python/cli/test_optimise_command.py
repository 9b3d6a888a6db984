"""`bathkin optimise` and `bathkin trade-off`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pandas as pd
import pytest
from support import Outcome

Command = Callable[..., Outcome]
RATE, PHOSPHORUS = "make_up.deposition_um_h", "make_up.phosphorus_wt_pct"
VARIED = ("--vary", "operation.ph=4.4:5.2", "--vary", "operation.temperature_c=80:94")
FEW = ("--points", "16", "--starts", "2", "--restarts", "1")
ASKED = ("optimise", "nickel-acid", *VARIED, "--most", RATE, *FEW)


def test_it_prints_the_best_its_limits_and_files(bathkin: Command, tmp_path: Path) -> None:
    csv, plot, target = (tmp_path / name for name in ("points.csv", "best.png", "best.toml"))
    files = ("--csv", str(csv), "--plot", str(plot), "--write", str(target))
    found = bathkin(*ASKED, "--limit", f"{PHOSPHORUS}=9:10", *files)
    assert found.code == 0
    assert "most make_up.deposition_um_h of nickel-acid: " in found.out
    assert "binds" in found.out
    assert max(map(len, found.out.splitlines())) <= 100
    assert pd.read_csv(csv)["feasible"].any()
    assert plot.stat().st_size > 10_000
    told = bathkin(*ASKED, "--limit", f"{PHOSPHORUS}=9:10", "--json").document()
    rate = bk.load_recipe(target).make_up().rate()
    assert rate.deposition_um_h == pytest.approx(told["goal"]["value"], rel=1e-9)


def test_its_document(bathkin: Command) -> None:
    told = bathkin(*ASKED, "--limit", f"{PHOSPHORUS}>=9", "--json").document()
    assert (told["command"], told["feasible"], told["complete"]) == ("optimise", True, True)
    assert told["limits"][0]["margin"] == told["limits"][0]["value"] - 9
    assert [one["path"] for one in told["numbers"]] == ["operation.ph", "operation.temperature_c"]
    assert told["inputs"]["seed"] == 0


def test_no_such_point_has_an_exit_code_of_its_own(bathkin: Command, tmp_path: Path) -> None:
    target = tmp_path / "best.toml"
    found = bathkin(*ASKED, "--limit", f"{RATE}>=90", "--write", str(target))
    assert found.code == 4
    assert "no point within all limits was found" in found.out
    assert not target.exists()


def test_a_trade_off(bathkin: Command, tmp_path: Path) -> None:
    csv, plot = tmp_path / "curve.csv", tmp_path / "curve.png"
    asked = ("trade-off", "nickel-acid", *VARIED, "--most", RATE, "--most", PHOSPHORUS, *FEW)
    found = bathkin(*asked, "--count", "4", "--csv", str(csv), "--plot", str(plot))
    assert found.code == 0
    assert "trade-off of nickel-acid" in found.out
    assert pd.read_csv(csv)[PHOSPHORUS].is_monotonic_increasing
    assert plot.stat().st_size > 10_000
    told = bathkin(*asked, "--count", "4", "--json").document()
    assert len(told["points"]) == len(pd.read_csv(csv))
    assert told["ends"][0]["goal"]["output"] == RATE


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--vary", "operation.ph=4.4"], "--vary operation.ph=4.4: expected PATH=LOW:HIGH"),
        (["--vary", "operation.ph=1:2:3"], "expected PATH=LOW:HIGH"),
        (["--vary", "operation.ph=4:5", "--vary", "operation.ph=4:5"], "is there twice"),
        (["--vary", "operation.ph=5:4"], "expected a low and a high bound, low below high"),
        (["--vary", "operation.ph=4:5", "--least", RATE], "expected one --least or one --most"),
        (["--vary", "operation.ph=4:5", "--limit", RATE], '"NAME>=VALUE", "NAME<=VALUE"'),
        (["--vary", "operation.ph=4:5", "--limit", f"{RATE}=12"], '"NAME=LOW:HIGH"'),
        (["--vary", "operation.ph=4:5", "--limit", "a=1:2", "--limit", "a=1:3"], "twice"),
        ([], "Missing option '--vary'"),
    ],
)
def test_wrong_options(bathkin: Command, options: list[str], told: str) -> None:
    found = bathkin("optimise", "nickel-acid", "--most", RATE, *options)
    assert found.code == 2
    assert told in found.err
