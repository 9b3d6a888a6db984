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


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
@pytest.mark.parametrize("page", ["README.md", "docs/optimisation.md"])
def test_pages(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    blocks = re.findall(r"^```python\n(.*?)^```", text, re.DOTALL | re.MULTILINE)
    assert blocks, f"{page} shows no Python"
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    for block in blocks:
        exec(compile(block, page, "exec"), names)
