"""The same fit for many tanks: by threads, processes and Dask; failures, Ctrl-C, refusals."""

from __future__ import annotations

import os
import pickle
import signal
import threading
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest
from support import POWER_LAW

RATE, ENERGY = "deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"
FREE = [RATE, ENERGY]
KNOWN: dict[str, Any] = {"relative_sigma": 0.02, "sigma": "known"}


def runs(factor: float, bend: float = 0.0) -> pd.DataFrame:
    """Invented rates of a tank that plates so many times as fast."""
    rates = [8.1, 11.3, 14.6, 19.9, 25.2]
    bent = [factor * rate * (1.0 + bend * place) for place, rate in enumerate(rates)]
    return pd.DataFrame({"temperature_c": [75, 80, 85, 90, 95], "deposition_um_h": bent})


def fleet() -> dict[str, Any]:
    """Six tanks: two fail, one has numbers of its own to fit, one has a recipe of its own."""
    return {
        "north": (POWER_LAW, runs(1.0)),
        "south": (POWER_LAW, runs(1.2)),
        "own numbers": (POWER_LAW, runs(0.9), [RATE]),
        "priors": (POWER_LAW, runs(0.8), {"priors": {ENERGY: (60, 2)}}),
        "empty": (POWER_LAW, runs(1.0).iloc[:0]),
        "no such recipe": ("nickel-of-nowhere", runs(1.0)),
        "log": ("nickel-acid", log(), [RATE]),
    }


def log() -> bk.Log:
    """Invented."""
    return bk.read_log(
        pd.DataFrame(
            {
                "timestamp": ["2026-03-04 08:00", "2026-03-04 10:00", "2026-03-04 12:00"],
                "area in tank (dm2)": [0, 300, 300],
                "nickel (g/L)": [6.0, 4.75, 3.85],
            }
        )
    )


@pytest.fixture(scope="module")
def found() -> bk.Fleet:
    with pytest.warns(bk.BathkinWarning, match="2 of 7 tanks failed; the first, empty, by: "):
        return bk.fit_many(fleet(), FREE, **KNOWN)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_each_is_the_fit_of_its_tank_alone(found: bk.Fleet) -> None:
    assert list(found.fits) == ["north", "south", "own numbers", "priors", "log"]
    for name, (recipe, data, *own) in fleet().items():
        if name in found.failed:
            continue
        more = own[0] if own else {}
        asked = {"free": FREE, **(more if isinstance(more, dict) else {"free": more}), **KNOWN}
        alone = bk.fit(recipe, data, **asked)
        assert found[name] == alone, name
        assert found[name].estimates == alone.estimates
    # What asks more of the data fits again.
    assert found["north"].predict({"temperature_c": 85}).value > 10


def test_the_table_has_a_row_for_each_tank(found: bk.Fleet, tmp_path: Path) -> None:
    table = found.table()
    assert list(table.index) == list(fleet())
    assert table["status"].value_counts().to_dict() == {"fitted": 5, "failed": 2}
    # 1.2 times the rates, and the same slope.
    ratio = table[RATE]["south"] / table[RATE]["north"]
    assert ratio == pytest.approx(1.2, rel=1e-6)
    assert table[ENERGY]["south"] == pytest.approx(table[ENERGY]["north"], abs=1e-5)
    assert pd.isna(table[ENERGY]["own numbers"])
    assert table[f"{RATE}_standard_error"]["north"] == found["north"][RATE].standard_error
    assert table["failure_code"]["no such recipe"] == "UnknownNameError"
    assert "nickel-of-nowhere" in table["failure"]["no such recipe"]
    assert table["failure_code"]["empty"] == "DataError"
    assert table["values"]["north"] == 5
    with pytest.raises(bk.UnknownNameError, match="nickel-of-nowhere"):
        found["no such recipe"]
    with pytest.raises(bk.UnknownNameError, match="no tank that was fitted is called west"):
        found["west"]
    found.to_csv(tmp_path / "fleet.csv")
    assert (tmp_path / "fleet.csv").read_text(encoding="utf-8").startswith("tank,status,")


def test_it_shows_itself(found: bk.Fleet, tmp_path: Path) -> None:
    text = repr(found)
    assert text.startswith("7 tanks: 5 fitted, 2 failed")
    assert "- no such recipe: " in text
    assert max(map(len, text.splitlines())) <= 100
    assert len(found.plot(tmp_path / "fleet.png").axes) == 2
    assert found.to_dict()["failed"] == 2
    assert pickle.loads(pickle.dumps(found)) == found


def test_a_tank_whose_data_the_model_misses_is_told() -> None:
    tanks = {"sound": (POWER_LAW, runs(1.0)), "bent": (POWER_LAW, runs(1.0, 0.5), [RATE])}
    with pytest.warns(bk.BathkinWarning, match="in 1 of 2 tanks the model misses the data: bent"):
        found = bk.fit_many(tanks, FREE, **KNOWN)
    table = found.table()
    assert table["misfit"]["sound"] == ""
    assert table["misfit"]["bent"] != ""
    assert "the model misses the data" in repr(found)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
@pytest.mark.parametrize("kind", [ThreadPoolExecutor, ProcessPoolExecutor])
def test_any_executor_gives_the_same_bits(found: bk.Fleet, kind: Any) -> None:
    seen: list[float] = []
    with kind(2) as pool:
        again = bk.fit_many(fleet(), FREE, **KNOWN, executor=pool, progress=seen.append)
    assert again == found
    pd.testing.assert_frame_equal(again.table(), found.table(), check_exact=True)
    # The other two could not be read.
    assert seen[-1] == 5


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_dask_gives_the_same_bits_and_gets_a_shared_recipe_once(
    found: bk.Fleet, tmp_path: Path
) -> None:
    distributed = pytest.importorskip("distributed")
    options: dict[str, Any] = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": None}
    sent: list[Any] = []
    with (
        distributed.LocalCluster(local_directory=tmp_path, **options) as cluster,
        distributed.Client(cluster) as client,
    ):
        scatter = client.scatter
        client.scatter = lambda value, **how: (sent.append(value), scatter(value, **how))[1]
        again = bk.fit_many(fleet(), FREE, **KNOWN, executor=client)
    assert again == found
    # Four tanks share the bench recipe; the log has one of its own.
    assert len(sent) == 1


class Dying(Executor):
    """An executor whose worker dies under its second task."""

    def __init__(self) -> None:
        self.asked = 0

    def submit(self, call: Any, /, *given: Any, **named: Any) -> Future[Any]:
        self.asked += 1
        future: Future[Any] = Future()
        if self.asked >= 2:
            future.set_exception(BrokenProcessPool("a worker died"))
        else:
            future.set_result(call(*given, **named))
        return future


def test_a_dead_worker_loses_nothing(found: bk.Fleet) -> None:
    with (
        pytest.warns(bk.BathkinWarning, match="2 of 7 tanks failed"),
        pytest.warns(bk.BathkinWarning, match=r"a worker died: the \d tanks that were left"),
    ):
        again = bk.fit_many(fleet(), FREE, **KNOWN, executor=Dying())
    assert again == found


@pytest.mark.parametrize("by", ["threads", "executor"])
def test_ctrl_c_gives_what_is_done(by: str) -> None:
    tanks = {str(place): (POWER_LAW, runs(1.0 + 0.001 * place)) for place in range(400)}
    sent: list[float] = []

    def interrupt(done: float) -> None:
        if done > 4 and not sent:
            sent.append(done)
            threading.Thread(target=os.kill, args=(os.getpid(), signal.SIGINT)).start()

    with (
        ThreadPoolExecutor(2) as pool,
        pytest.warns(bk.BathkinWarning, match=r"ended after \d+ of 400 tanks"),
    ):
        found = bk.fit_many(
            tanks,
            FREE,
            **KNOWN,
            starts=40,
            executor=pool if by == "executor" else None,
            progress=interrupt,
        )
    assert not found.complete
    assert 4 < len(found.fits) < 400
    assert not found.failed
    assert (found.table()["status"] == "left").sum() == 400 - len(found.fits)
    # What was done before is not stopped.
    name, fit = next(iter(found.fits.items()))
    assert fit.interval(RATE) == bk.fit(*tanks[name], FREE, **KNOWN, starts=40).interval(RATE)


def test_a_list_is_named_after_its_files(tmp_path: Path) -> None:
    paths = [tmp_path / name for name in ("north.csv", "south.csv")]
    for path in paths:
        runs(1.0).to_csv(path, index=False)
    found = bk.fit_many([("nickel-acid", path) for path in paths], FREE)
    assert found.names == ["north", "south"]
    assert bk.fit_many([(POWER_LAW, runs(1.0)), (POWER_LAW, runs(1.0))], FREE).names == ["1", "2"]


@pytest.mark.parametrize(
    ("tanks", "options", "told"),
    [
        ({}, {}, "no tanks: expected at least one"),
        ([], {}, "no tanks: expected at least one"),
        (7, {}, r"tanks = 7: expected for each \(recipe, data\)"),
        ({"a": POWER_LAW}, {}, r"fit_many: a = .* expected \(recipe, data\)"),
        ({"a": (POWER_LAW,)}, {}, r"expected \(recipe, data\)"),
        ([(POWER_LAW, "a.csv"), (POWER_LAW, "a.csv")], {}, "2 tanks are called a.csv"),
        ({"a": (POWER_LAW, runs(1.0))}, {"freee": 1}, "freee: expected arguments of fit: free"),
        ({"a": (POWER_LAW, runs(1.0))}, {"sigma": "odd"}, "sigma = odd: expected"),
        ({"a": (POWER_LAW, runs(1.0))}, {"executor": 3}, "fit_many: executor = int: expected"),
    ],
)
def test_refusals_say_what_was_expected(tanks: Any, options: dict[str, Any], told: str) -> None:
    with pytest.raises(bk.BathkinError, match=told):
        bk.fit_many(tanks, FREE, **options)
