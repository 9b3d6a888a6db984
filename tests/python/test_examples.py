"""Every example that is shown runs: docstrings, and the Python blocks of pages."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import re
import shlex
import shutil
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest
from support import ROOT

MODULES = sorted(
    module.name
    for module in pkgutil.walk_packages(bk.__path__, "bathkin.")
    if module.name not in {"bathkin._core", "bathkin.__main__"}
)


@pytest.mark.parametrize("name", ["bathkin", *MODULES])
def test_docstrings(name: str) -> None:
    failed, _ = doctest.testmod(importlib.import_module(name))
    assert failed == 0


def test_the_public_calls_have_an_example() -> None:
    for name in ("load_recipe", "sweep", "simulate_life", "fit_arrhenius", "area_per_turnover_m2"):
        assert ">>> " in (getattr(bk, name).__doc__ or ""), name


# Blocks of Python, and the cells that the site executes; a cell may begin with its options.
BLOCK = re.compile(
    r"^```(?:python|\{code-cell\})\n((?::[^\n]*\n)*)(.*?)^```", re.DOTALL | re.MULTILINE
)
# Its examples are of a hundred thousand members and of machines: they run below, smaller.
ENSEMBLES = "docs/ensembles.md"
PAGES = sorted(
    str(page.relative_to(ROOT))
    for page in [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]
    if "_generated" not in page.parts and BLOCK.search(page.read_text(encoding="utf-8"))
)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
@pytest.mark.parametrize("page", [page for page in PAGES if page != ENSEMBLES])
def test_pages(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MPLBACKEND", "agg")
    run_blocks(page, {})


def run_blocks(page: str, names: dict[str, Any]) -> None:
    for _options, block in BLOCK.findall((ROOT / page).read_text(encoding="utf-8")):
        exec(compile(block, page, "exec"), names)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_the_page_of_ensembles(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its blocks as they stand, with fewer members, three tanks, and a cluster on this machine."""
    distributed = pytest.importorskip("distributed")
    pytest.importorskip("pyarrow")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MPLBACKEND", "agg")
    few(monkeypatch)
    (tmp_path / "logs").mkdir()
    for n in range(1, 201):
        shutil.copy(ROOT / "benches" / "data" / "log_a.csv", tmp_path / "logs" / f"line-{n}.csv")
    (tmp_path / "line.toml").write_text('base = "nickel-acid"\nname = "line"\n', encoding="utf-8")
    options: dict[str, Any] = {"n_workers": 1, "threads_per_worker": 1, "dashboard_address": None}
    with distributed.LocalCluster(local_directory=tmp_path, **options) as cluster:
        asked: list[str] = []

        def client(address: str) -> Any:
            asked.append(address)
            return distributed.Client(cluster)

        monkeypatch.setattr("dask.distributed.Client", client)
        frames = {name: Frame() for name in ("frame", "dataset", "spark_frame")}
        names: dict[str, Any] = {**frames, "schema": None}
        run_blocks(ENSEMBLES, names)
        names["client"].close()
    assert asked == ["tcp://scheduler:8786"]
    assert len(names["found"].table()) == 3
    assert not names["found"].failed
    assert all(len(one.found) == 2 for one in frames.values())


def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Members, points and tanks of the page, at most as many as a test has time for."""
    ensemble, indices, fleet = bk.ensemble, bk.global_sensitivity, bk.fit_many

    def fewer_members(*found: Any, **options: Any) -> Any:
        if "members" in options:
            options["members"] = min(options["members"], 32)
        return ensemble(*found, **options)

    def fewer_points(*found: Any, **options: Any) -> Any:
        return indices(*found, **{**options, "points": 8})

    def fewer_tanks(tanks: dict[str, Any], *found: Any, **options: Any) -> Any:
        kept = {name: tanks[name] for name in ("line 1", "line 2", "line 7")}
        return fleet(kept, *found, **options)

    monkeypatch.setattr(bk, "ensemble", fewer_members)
    monkeypatch.setattr(bk, "global_sensitivity", fewer_points)
    monkeypatch.setattr(bk, "fit_many", fewer_tanks)


class Frame:
    """What Dask, Ray and Spark do with a function of data frames, on one of two rows."""

    def __init__(self) -> None:
        self.rows = pd.DataFrame({"operation.ph": [4.7, 4.9]})
        self.found = pd.DataFrame()

    def map_partitions(self, of: Callable[[pd.DataFrame], pd.DataFrame]) -> None:
        self.found = of(self.rows)

    def map_batches(self, of: Callable[[pd.DataFrame], pd.DataFrame], batch_format: str) -> None:
        assert batch_format == "pandas"
        self.found = of(self.rows)

    def mapInPandas(  # noqa: N802
        self, of: Callable[[Iterator[pd.DataFrame]], Iterable[pd.DataFrame]], schema: object
    ) -> None:
        self.found = pd.concat(of(iter([self.rows])))


# A command of the README, and what is shown of its output.
SHOWN = re.compile(r"```console\n\$ bathkin ([^\n]*)\n```\n\n```text\n(.*?)```", re.DOTALL)


def test_the_readme_shows_what_is_printed(
    bathkin: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    blocks = SHOWN.findall((ROOT / "README.md").read_text(encoding="utf-8"))
    assert [command.split()[0] for command, _ in blocks] == ["rate", "fit", "today"]
    for command, shown in blocks:
        printed = bathkin(*shlex.split(command)).out.splitlines()
        at = [printed.index(line) for line in shown.splitlines()]
        assert at == sorted(at), command


def test_every_kind_of_page_has_examples_that_run() -> None:
    for page in ("README.md", "docs/gallery.md", "docs/tutorials/chemist.md", "docs/guide/fits.md"):
        assert page in PAGES
