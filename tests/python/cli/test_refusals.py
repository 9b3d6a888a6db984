"""Commands that end without a result: refusals, failures, interrupts; and commands as programs."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pytest
from support import ROOT, Outcome

Command = Callable[..., Outcome]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("temperature_c,rate\n70,6,1\n80,10.6\n", "row 1: 3 cells for 2 columns"),
        ("temperature_c,rate\n70,6.1\n80,\n", "row 2, rate = (empty)"),
        ("temperature_c,rate\n70,6.1\n80,x\n", "row 2, rate = x"),
        ("temperature_c,rate\n70,6.1\n80,-1\n", "row 2, rate = -1: expected a number above zero"),
        (
            "temperature_c,rate\n70,6.1\n80,nan\n",
            "row 2, rate = nan: expected a number in every row",
        ),
        ("temperature_k,rate\n70,6.1\n80,10\n", "row 1, temperature_k = 70"),
        ("temperature_c;rate;ph\n70;6.1;5\n", "expected two: temperature_c"),
        ("rate,k\n70,6.1\n", "temperature_c, temperature_k or temperature_f"),
        ("temperature,rate\n70,6.1\n", "temperature_c, temperature_k, temperature_f"),
        (
            "temperature_c;rate\n70;6,1\n80;6.2\n",
            "row 2, rate = 6.2: expected the decimal mark ','",
        ),
        ("temperature_c,rate\n70,6.1\n", "different temperatures"),
        ("temperature_c,rate\n", "there are no rows"),
        ("", "a line of column names"),
        ("\x81", "UTF-8"),
    ],
)
def test_tables_that_cannot_be_used(
    bathkin: Command, tmp_path: Path, content: str, said: str
) -> None:
    path = tmp_path / "t.csv"
    path.write_bytes(content.encode("latin-1"))
    outcome = bathkin("arrhenius", str(path))
    assert outcome.code == 2
    assert outcome.out == ""
    assert outcome.err.startswith("bathkin: error: ")
    assert "t.csv" in outcome.err
    assert said in outcome.err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ("solution nickel-acid --set operation.temperature_c=190", "190 degF would be 87.8 degC"),
        ("solution nickel-acid --set operation.ph=19", "operation.ph = 19: expected a pH between"),
        ("solution nickel-acid --set operation.ph=1", "cannot reach pH 1.00"),
        ("solution nickel-acid --set operation.ph=4,8", "decimal point"),
        ("solution nickel-acid --set make_up.lactic_acid_g_l=-3", "zero or more"),
        ("solution nickel-acid --set make_up.nickel_sulfate_g_l=3", "nickel_sulfate_hexahydrate"),
        ("solution nickel-acid --set make_up.unobtainium_g_l=3", "no reagent is called"),
        ("solution nickel-acid --set tank.volum_l=3", "did you mean tank.volume_l"),
        ("show nickel-acid --set species.lactic_acid.constant=sit", "valid names: default"),
        ("show nickel-acid --set species.nickel_acetate_1.constant=sat", "did you mean sit"),
        ("solution nickel-acid --set tank.volume_l=3ft", "a volume in L"),
        ("solution nickel-acid --set tank.volume_l", "expected PATH=VALUE"),
        (
            "life nickel-acid --set replenisher.metal.nickel_sulfate_hexahydrate_g_l=0",
            "a reagent that brings nickel",
        ),
        ("life nickel-acid --set limits.phosphorus_wt_pct_max=9", "exceeded at make-up"),
        ("life nickel-acid --plot life.doc", "a picture file that ends in"),
        ("life nickel-acid --csv none/life.csv", "there is no directory none"),
        ("life nickel-acid --csv .", "is a directory"),
        ("life nickel-acd", "did you mean nickel-acid"),
        ("life none.toml", "none.toml: cannot be read"),
        ("life", "Missing argument 'RECIPE' (see bathkin life --help)"),
        ("live nickel-acid", "No such command"),
        ("rate nickel-acid --fast", "No such option"),
        ("rate nickel-acid --vary operation.ph=4:5", "low:high:count"),
        ("rate nickel-acid --vary operation.ph=4:5:1", "low:high:count"),
        ("rate nickel-acid --vary operation.ph", "expected PATH=low:high:count"),
        ("rate nickel-acid --vary operation.ph=4.8,,5", "operation.ph = : expected a plain number"),
        ("rate nickel-acid --vary operation.ph=4.8,19", "operation.ph = 19"),
        ("rate nickel-acid --vary operation.hp=4.8", "did you mean operation.ph"),
        ("plate nickel-acid --minutes -5", "minutes = -5: expected a number above zero"),
        ("plate nickel-acid --area-dm2 3ft3", "an area in dm2"),
        ("arrhenius none.csv", "none.csv: cannot be read"),
    ],
)
def test_wrong_input(
    bathkin: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: str, said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    outcome = bathkin(*arguments.split(" "))
    assert outcome.code == 2
    assert outcome.err.startswith("bathkin: error: ")
    assert said in outcome.err
    assert len(outcome.err.splitlines()) == 1
    assert "Traceback" not in outcome.err
    assert list(tmp_path.iterdir()) == []


def test_a_failed_computation(bathkin: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise bk.ConvergenceError("the equilibrium did not converge at 3 h", time_h=3.0)

    monkeypatch.setattr("bathkin.cli.simulate.run", fail)
    outcome = bathkin("life", "nickel-acid")
    assert outcome.code == 3
    assert "the computation failed: the equilibrium did not converge at 3 h" in outcome.err
    assert "nothing was written" in outcome.err


def test_interrupted(bathkin: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("bathkin.cli.simulate.run", interrupt)
    outcome = bathkin("life", "nickel-acid")
    assert outcome.code == 130
    assert outcome.err.strip() == "bathkin: interrupted; nothing was written"


def spawned(*arguments: str) -> subprocess.Popen[str]:
    # Started in the background, a shell hands down an ignored interrupt; a terminal does not.
    heeding = "import signal, runpy; signal.signal(signal.SIGINT, signal.default_int_handler); "
    run = heeding + "runpy.run_module('bathkin', run_name='__main__', alter_sys=True)"
    command = [sys.executable, "-W", "error", "-c", run, *arguments]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["recipes", "--json"], 0),
        (["life", "nickel-acid", "--set", "operation.temperature_c=97"], 0),
        (["life", "nickel-acd"], 2),
    ],
)
def test_as_a_program(arguments: list[str], code: int) -> None:
    program = spawned(*arguments)
    _, error = program.communicate(timeout=60)
    assert program.returncode == code
    assert "Traceback" not in error
    assert bool(error) == bool(code)


def test_a_closed_pipe_is_no_traceback() -> None:
    program = spawned("show", "nickel-acid")
    assert program.stdout is not None
    program.stdout.close()
    assert program.stderr is not None
    error = program.stderr.read()
    program.wait(timeout=60)
    program.stderr.close()
    assert "Traceback" not in error


def check_ctrl_c_stops(program: subprocess.Popen[str], after_s: float) -> None:
    time.sleep(after_s)
    if program.poll() is None:
        program.send_signal(signal.SIGINT)
        _, error = program.communicate(timeout=30)
        assert program.returncode == 130
        assert error.strip() == "bathkin: interrupted; nothing was written"
    else:
        program.communicate()
        pytest.fail("it ended before it could be interrupted")


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
def test_ctrl_c_stops_a_long_bootstrap() -> None:
    log = str(ROOT / "benches" / "data" / "log_a.csv")
    free = ["--free", "deposition.rate_mol_m2_s", "--bootstrap", "100000"]
    check_ctrl_c_stops(spawned("fit", "nickel-acid", "--log", log, *free), 4.0)


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
def test_ctrl_c_stops_a_long_life() -> None:
    # A life of many small doses, long enough to be caught at work.
    settings = [
        "replenishment.metal_trigger_pct=99.9",
        "limits.turnovers=1e6",
        "tank.volume_l=4000",
        "limits.orthophosphite_g_l_as_hpo3=1e6",
        "tank.bleed_per_turnover=0.9",
        "life.longest_clock_h=1e6",
    ]
    given = [part for setting in settings for part in ("--set", setting)]
    check_ctrl_c_stops(spawned("life", "nickel-acid", *given), 2.0)
