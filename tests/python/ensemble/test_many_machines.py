"""Ensembles in other processes, and from a file: killed, resumed, split, in whatever order."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest
from bathkin.ensemble import parts

SPREAD = {"operation.ph": "normal(4.8, 0.05)", "make_up.lactic_acid_g_l": "uniform(28, 32)"}
OUTPUTS = ["dump.plating_h", "end.deposition_um_h", "dump.limit"]
COUNT = 70


@pytest.fixture(scope="module")
def short() -> bk.Recipe:
    return bk.load_recipe("nickel-acid").set("limits.turnovers", 0.3)


@pytest.fixture(scope="module")
def whole(short: bk.Recipe) -> pd.DataFrame:
    return bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT).table()


def same(one: bk.Ensemble, whole: pd.DataFrame) -> None:
    assert one.complete
    pd.testing.assert_frame_equal(one.table(), whole, check_exact=True)


@pytest.mark.parametrize("start", ["fork", "spawn"])
def test_processes_give_the_same_bits(short: bk.Recipe, whole: pd.DataFrame, start: str) -> None:
    seen: list[float] = []
    with ProcessPoolExecutor(2, mp_context=get_context(start)) as pool:
        found = bk.ensemble(
            short, SPREAD, OUTPUTS, members=COUNT, executor=pool, progress=seen.append
        )
        summary = bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT, executor=pool, keep="summary")
    same(found, whole)
    assert seen[-1] == COUNT
    assert summary.statistics == found.statistics


def test_a_table_is_sent_by_its_rows(short: bk.Recipe, whole: pd.DataFrame) -> None:
    table = whole[list(SPREAD)].reset_index(drop=True)
    with ThreadPoolExecutor(2) as pool:
        found = bk.ensemble(short, table, OUTPUTS, executor=pool)
    same(found, whole)


def test_dask_gives_the_same_bits(short: bk.Recipe, whole: pd.DataFrame, tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed")
    options: dict[str, Any] = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": None}
    with (
        distributed.LocalCluster(local_directory=tmp_path, **options) as cluster,
        distributed.Client(cluster) as client,
    ):
        found = bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT, executor=client)
    same(found, whole)


class Dying(Executor):
    """An executor whose worker dies under its second part."""

    def __init__(self) -> None:
        self.asked = 0

    def submit(self, call: Callable[..., Any], /, *given: Any, **named: Any) -> Future[Any]:
        self.asked += 1
        future: Future[Any] = Future()
        if self.asked == 2:
            future.set_exception(BrokenProcessPool("a worker died"))
        elif self.asked > 2:
            raise BrokenProcessPool("a worker died")
        else:
            future.set_result(call(*given, **named))
        return future


def test_a_dead_worker_loses_nothing(short: bk.Recipe, whole: pd.DataFrame) -> None:
    with pytest.warns(bk.BathkinWarning, match="a worker died: the 54 members that were left"):
        found = bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT, executor=Dying())
    same(found, whole)


def test_an_answer_of_another_version_is_refused(short: bk.Recipe) -> None:
    class Old(Dying):
        def submit(self, call: Callable[..., Any], /, *given: Any, **named: Any) -> Future[Any]:
            future: Future[Any] = Future()
            computed = parts.compute(*given)
            future.set_result(computed.replace(bk.__version__.encode(), b"0.0.9"))
            return future

    with pytest.raises(bk.RecipeError, match="a worker's answer: "):
        bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT, executor=Old())


def test_a_checkpoint_spares_what_is_in_it(
    short: bk.Recipe, whole: pd.DataFrame, tmp_path: Path
) -> None:
    file = tmp_path / "run.ens"
    asked: dict[str, Any] = {"members": COUNT, "checkpoint": file}
    same(bk.ensemble(short, SPREAD, OUTPUTS, **asked), whole)
    written = file.read_bytes()
    seen: list[float] = []
    same(bk.ensemble(short, SPREAD, OUTPUTS, **asked, progress=seen.append), whole)
    assert file.read_bytes() == written
    # Half of the last record: it is named, computed again, and written again.
    file.write_bytes(written[:-100])
    with pytest.warns(bk.BathkinWarning, match="the last record was half written"):
        same(bk.ensemble(short, SPREAD, OUTPUTS, **asked), whole)
    assert len(file.read_bytes()) == len(written)
    with pytest.raises(bk.RecipeError, match="the seed differs: the file has 0, this ensemble 1"):
        bk.ensemble(short, SPREAD, OUTPUTS, **asked, seed=1)
    with pytest.raises(bk.RecipeError, match="the recipe differs"):
        bk.ensemble(short.set("tank.volume_l", 90), SPREAD, OUTPUTS, **asked)
    other = tmp_path / "notes.txt"
    other.write_text("mine", encoding="utf-8")
    with pytest.raises(bk.RecipeError, match="this is no checkpoint of an ensemble"):
        bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT, checkpoint=other)
    assert other.read_text(encoding="utf-8") == "mine"
    with pytest.raises(OSError, match="No such file"):
        bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT, checkpoint=tmp_path / "no" / "run.ens")


def test_parts_of_several_machines_come_together(
    short: bk.Recipe, whole: pd.DataFrame, tmp_path: Path
) -> None:
    files = [tmp_path / f"part-{number}.ens" for number in range(3)]
    for file, part in zip(files, [(0, 32), (32, 48), (48, COUNT)], strict=True):
        bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT, part=part, checkpoint=file)
    written = [file.read_bytes() for file in files]
    found = bk.ensemble(short, SPREAD, OUTPUTS, members=COUNT, checkpoint=files)
    same(found, whole)
    assert [file.read_bytes() for file in files] == written


KILLED = """
import sys
import bathkin as bk
short = bk.load_recipe("nickel-acid").set("limits.turnovers", 0.3)
bk.ensemble(short, {spread!r}, {outputs!r}, members={count}, checkpoint=sys.argv[1])
"""


def test_a_killed_run_goes_on_to_the_same_bits(short: bk.Recipe, tmp_path: Path) -> None:
    file = tmp_path / "killed.ens"
    count = 2000
    script = KILLED.format(spread=SPREAD, outputs=OUTPUTS, count=count)
    process = subprocess.Popen([sys.executable, "-c", script, str(file)])
    begun = time.monotonic()
    while not (file.exists() and file.stat().st_size > 3000) and time.monotonic() < begun + 60:
        time.sleep(0.02)
    os.kill(process.pid, signal.SIGKILL)
    assert process.wait() == -signal.SIGKILL
    assert file.stat().st_size > 3000
    # The first part of it is enough: what was killed had begun with that.
    some: dict[str, Any] = {"members": count, "part": (0, 320)}
    found = bk.ensemble(short, SPREAD, OUTPUTS, **some)
    resumed = bk.ensemble(short, SPREAD, OUTPUTS, **some, checkpoint=file)
    pd.testing.assert_frame_equal(resumed.table(), found.table(), check_exact=True)


def test_ctrl_c_returns_what_is_done(short: bk.Recipe) -> None:
    def interrupt(done: float) -> None:
        if done >= 96:
            signal.raise_signal(signal.SIGINT)

    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with pytest.warns(bk.BathkinWarning, match=r"ended after \d+ of 100000 members"):
            found = bk.ensemble(
                short, SPREAD, OUTPUTS, members=100_000, keep="members", progress=interrupt
            )
    finally:
        signal.signal(signal.SIGINT, before)
    assert not found.complete
    done = len(found.members)
    # Up to the first gap: what other threads did behind it is not shown.
    assert 16 <= done < 100_000
    assert found.table().shape == (done, 5)


def test_what_a_progress_function_raises_comes_out(short: bk.Recipe) -> None:
    def fail(done: float) -> None:
        raise ZeroDivisionError(done)

    with pytest.raises(ZeroDivisionError):
        bk.ensemble(short, SPREAD, OUTPUTS, members=100_000, progress=fail)


def _counting() -> None:
    """Notes, in a worker, which ensemble each part was computed with."""
    from bathkin.ensemble import parts

    compute = parts.compute
    parts.seen = set()  # type: ignore[attr-defined]

    def noted(whole: Any, *part: Any) -> bytes:
        parts.seen.add(id(whole))  # type: ignore[attr-defined]
        return compute(whole, *part)

    parts.compute = noted


def _counted() -> int:
    from bathkin.ensemble import parts

    return len(parts.seen)  # type: ignore[attr-defined]


def test_the_recipe_is_scattered_once(short: bk.Recipe, tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed")
    options: dict[str, Any] = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": None}
    table = bk.ensemble(short, SPREAD, OUTPUTS, members=64).table()[list(SPREAD)]
    sent: list[Any] = []
    with (
        distributed.LocalCluster(local_directory=tmp_path, **options) as cluster,
        distributed.Client(cluster) as client,
    ):
        scatter = client.scatter
        client.scatter = lambda value, **how: (sent.append(how), scatter(value, **how))[1]
        client.run(_counting)
        drawn = bk.ensemble(short, SPREAD, OUTPUTS, members=160, executor=client)
        assert sent == [{"broadcast": True, "hash": False}]
        # Ten parts, and each worker has the recipe once.
        assert set(client.run(_counted).values()) <= {0, 1}
        rows = bk.ensemble(short, table, OUTPUTS, executor=client)
        assert len(sent) == 2
    same(drawn, bk.ensemble(short, SPREAD, OUTPUTS, members=160).table())
    same(rows, bk.ensemble(short, table, OUTPUTS).table())
