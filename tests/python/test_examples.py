"""Every example that is shown runs: docstrings, and the Python blocks of pages."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import re
from pathlib import Path

import bathkin as bk
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
BLOCK = re.compile(r"^```(?:python|\{code-cell\})\n((?::.*\n)*)(.*?)^```", re.DOTALL | re.MULTILINE)
# Its examples start worker processes.
NOT_HERE = {"docs/ensembles.md"}
PAGES = sorted(
    str(page.relative_to(ROOT))
    for page in [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]
    if "_generated" not in page.parts and BLOCK.search(page.read_text(encoding="utf-8"))
)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
@pytest.mark.parametrize("page", [page for page in PAGES if page not in NOT_HERE])
def test_pages(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MPLBACKEND", "agg")
    names: dict[str, object] = {}
    for _options, block in BLOCK.findall((ROOT / page).read_text(encoding="utf-8")):
        exec(compile(block, page, "exec"), names)


def test_every_kind_of_page_has_examples_that_run() -> None:
    for page in ("README.md", "docs/gallery.md", "docs/tutorials/chemist.md", "docs/guide/fits.md"):
        assert page in PAGES
