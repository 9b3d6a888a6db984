"""Ctrl-C ends every long call at once, and a forked child computes as its parent."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

import bathkin as bk
import numpy as np
import pandas as pd
import pytest
from support import POWER_LAW

RATE = "deposition.rate_mol_m2_s"
ENERGY = "deposition.activation_energy_kj_mol"
# Half a second is promised, some 0.1 s is seen; tests run on machines with other work to do.
SOON_S = 5.0
MANY = "operation.temperature_c=80:94:300"
# A pH that is corrected every half minute.
OFTEN = ["--set", "ph_control.policy=interval", "--set", "ph_control.interval_h=0.01"]
WAIT_S = 0.4

# Invented coupons, each in a bath of its own.
RUNS = pd.DataFrame(
    {
        "temperature_c": [80.0, 82.0, 84.0, 86.0, 88.0, 90.0, 92.0, 94.0],
        "time_min": [60.0] * 8,
        "area_dm2": [200.0] * 8,
        "thickness_um": [10.4, 11.5, 12.4, 13.7, 15.3, 16.9, 18.6, 20.0],
    }
)
# Invented readings of a bath that was run for two months.
LOG = pd.DataFrame(
    {
        "time_h": [24.0 * day for day in range(60)],
        "area in tank (dm2)": [0.0] + [60.0] * 59,
        "nickel (g/L)": [6.0] + [5.6 + 0.01 * (day % 7) for day in range(59)],
        "metal_ml_l": [3.0] * 60,
        "reductant_ml_l": [4.0] * 60,
    }
)


@pytest.fixture(autouse=True)
def _heeds_ctrl_c() -> Iterator[None]:
    """What was started in the background of a shell ignores Ctrl-C; here it is heard."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture(scope="module")
def slow() -> bk.Recipe:
    """A bath that is dosed some tens of thousands of times."""
    return bk.load_recipe(POWER_LAW).set(
        {
            "replenishment.metal_trigger_pct": 99.9,
            "ph_control.policy": "interval",
            "ph_control.interval_h": 0.01,
            "limits.turnovers": 400,
            "limits.orthophosphite_g_l_as_hpo3": "off",
        }
    )


@pytest.fixture(scope="module")
def fitted() -> bk.Fit:
    return bk.fit(POWER_LAW, RUNS, [RATE, ENERGY], relative_sigma=0.02)


@pytest.fixture(scope="module")
def bath() -> bk.Bath:
    return bk.load_recipe("nickel-acid").make_up()


def interrupted(call: Callable[[], Any]) -> float:
    """Calls, sends Ctrl-C meanwhile, and gives the time from there to the end of the call, s."""
    sent = []

    def send() -> None:
        sent.append(time.perf_counter())
        os.kill(os.getpid(), signal.SIGINT)

    timer = threading.Timer(WAIT_S, send)

    def called() -> None:
        timer.start()
        call()
        pytest.fail("the call was over before it could be interrupted")

    try:
        with pytest.raises(KeyboardInterrupt):
            called()
        return time.perf_counter() - sent[0]
    finally:
        timer.cancel()


CALLS: dict[str, Callable[[bk.Recipe, bk.Fit, bk.Bath], Any]] = {
    "simulate_life": lambda slow, fitted, bath: bk.simulate_life(slow),
    "sweep": lambda slow, fitted, bath: bk.sweep(
        "nickel-acid", {"operation.ph": np.linspace(4.4, 5.2, 60_000)}
    ),
    "life_sensitivity": lambda slow, fitted, bath: slow.life_sensitivity(),
    "steady_bleed": lambda slow, fitted, bath: slow.steady_bleed(0.01),
    "bleed_for": lambda slow, fitted, bath: slow.set(
        "limits.orthophosphite_g_l_as_hpo3", 150
    ).bleed_for("orthophosphite_mol_l"),
    "compare": lambda slow, fitted, bath: bk.compare(
        slow, {"slow": {}, "slower": {"tank.drag_out_l_m2": 0.1}}
    ),
    "plan": lambda slow, fitted, bath: slow.plan(8, {"turnovers": 300}),
    "distribution": lambda slow, fitted, bath: [
        bath.distribution("nickel", np.linspace(2.0, 12.0, 9000)) for _ in range(1000)
    ],
    "titration": lambda slow, fitted, bath: [
        bath.titration("ammonia", np.linspace(4.9, 9.0, 9000)) for _ in range(1000)
    ],
    "formation_curve": lambda slow, fitted, bath: [
        bath.formation_curve("lactate", np.linspace(0.0, 9.0, 9000)) for _ in range(1000)
    ],
    "fit": lambda slow, fitted, bath: bk.fit(
        POWER_LAW, RUNS, [RATE, ENERGY], relative_sigma=0.02, starts=5000
    ),
    "fit of a log": lambda slow, fitted, bath: bk.fit(
        POWER_LAW, bk.read_log(LOG), [RATE, ENERGY], starts=5000
    ),
    "profile": lambda slow, fitted, bath: [fitted.profile(RATE) for _ in range(1000)],
    "bootstrap": lambda slow, fitted, bath: fitted.bootstrap(100_000),
    "sample": lambda slow, fitted, bath: fitted.sample(steps=100_000),
    "posterior": lambda slow, fitted, bath: fitted.posterior(100_000, most=100_000),
    "log_posterior": lambda slow, fitted, bath: fitted.log_posterior(
        np.tile([[fitted.estimates[0].value, 62.0]], (100_000, 1))
        + 1e-9 * np.arange(100_000)[:, None]
    ),
    "next_runs": lambda slow, fitted, bath: fitted.next_runs(
        {"temperature_c": np.linspace(75, 95, 300), "ph": np.linspace(4.4, 5.2, 300)}, count=2
    ),
    "global_sensitivity": lambda slow, fitted, bath: bk.global_sensitivity(
        "nickel-acid", {"operation.ph": "uniform(4.6, 5.0)"}, points=4096
    ),
    "forecast": lambda slow, fitted, bath: fitted.forecast(slow, count=1000),
    "compare_models": lambda slow, fitted, bath: bk.compare_models(
        POWER_LAW,
        {"rate": [RATE], "both": [RATE, ENERGY]},
        RUNS,
        folds="each",
        relative_sigma=0.02,
        starts=5000,
    ),
}


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
@pytest.mark.parametrize("name", CALLS)
def test_every_long_call_hears_of_ctrl_c(
    name: str, slow: bk.Recipe, fitted: bk.Fit, bath: bk.Bath
) -> None:
    took = interrupted(lambda: CALLS[name](slow, fitted, bath))
    print(f"{name}: {took:.2f} s")
    assert took < SOON_S


def test_what_was_interrupted_answers_as_before(fitted: bk.Fit) -> None:
    before = fitted.bootstrap(20)
    interrupted(lambda: fitted.bootstrap(100_000))
    assert fitted.bootstrap(20).intervals == before.intervals
    assert fitted.predict({"temperature_c": 85}).value > 0


@pytest.mark.parametrize(
    "arguments",
    [
        [*["rate", "nickel-acid", "--vary", "operation.ph=4.4:5.2:300", "--vary"], MANY],
        ["life", "nickel-acid", "--sensitivity", *OFTEN],
        ["compare", "nickel-acid", *OFTEN],
    ],
    ids=lambda arguments: arguments[0],
)
def test_an_interrupted_command_exits_with_130(arguments: list[str]) -> None:
    command = [sys.executable, "-m", "bathkin", *arguments]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    time.sleep(4.0)
    assert process.poll() is None, process.communicate()
    sent = time.perf_counter()
    process.send_signal(signal.SIGINT)
    _, said = process.communicate(timeout=60)
    assert time.perf_counter() - sent < SOON_S
    assert process.returncode == 130
    assert said.strip() == "bathkin: interrupted; nothing was written"


def test_progress_of_long_work(fitted: bk.Fit) -> None:
    class EnoughError(Exception):
        pass

    def counting(seen: list[float]) -> Callable[[float], None]:
        def count(done: float) -> None:
            seen.append(done)
            if done >= 3:
                raise EnoughError

        return count

    candidates = {f"{number}": [RATE] for number in range(400)}
    grid = {"temperature_c": np.linspace(75, 95, 300), "ph": np.linspace(4.4, 5.2, 300)}
    works: list[Callable[..., Any]] = [
        lambda progress: fitted.bootstrap(100_000, progress=progress),
        lambda progress: fitted.next_runs(grid, progress=progress),
        lambda progress: fitted.sample(steps=100_000, progress=progress),
        lambda progress: bk.compare_models(
            "nickel-acid", candidates, RUNS, relative_sigma=0.02, progress=progress
        ),
    ]
    for work in works:
        seen: list[float] = []
        with pytest.raises(EnoughError):
            work(counting(seen))
        assert seen == sorted(seen)
        assert seen[-1] >= 3


def _swept(sent: Any = None) -> Any:
    found = bk.sweep("nickel-acid", {"operation.ph": [4.6, 4.8, 5.0]})["deposition_um_h"].tolist()
    found += bk.fit(POWER_LAW, RUNS, [RATE, ENERGY]).bootstrap(8).draws[0].tolist()
    if sent is not None:
        sent.send(found)
    return found


@pytest.fixture
def alarm() -> Iterator[None]:
    """A child that hangs is no reason for the tests to."""

    def late(*_: object) -> None:
        raise AssertionError("the forked child hangs")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(120)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_a_forked_child_computes_as_its_parent(alarm: None) -> None:
    """The parent has used all its threads before, which the child has not."""
    expected = _swept()
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        # Not through pytest's own exit.
        try:
            os.write(writer, repr(_swept()).encode())
        finally:
            os._exit(0)
    try:
        os.close(writer)
        with os.fdopen(reader) as said:
            text = said.read()
        assert text == repr(expected)
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_children_of_multiprocessing_compute_as_their_parent(alarm: None) -> None:
    expected = _swept()
    fork = multiprocessing.get_context("fork")
    children = []
    for _ in range(2):
        ours, theirs = fork.Pipe()
        child = fork.Process(target=_swept, args=(theirs,))
        child.start()
        children.append((child, ours))
    try:
        for _, ours in children:
            assert ours.poll(100)
            assert ours.recv() == expected
    finally:
        for child, _ in children:
            child.kill()
            child.join()
