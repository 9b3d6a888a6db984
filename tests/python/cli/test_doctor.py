"""`bathkin doctor`: what is wrong is named with its cure."""

from __future__ import annotations

import importlib
import importlib.metadata
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pytest

doctor = importlib.import_module("bathkin.cli.doctor")


@pytest.fixture(autouse=True)
def _everything_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.metadata, "version", lambda name: "9.9")


def test_all_works(bathkin: Callable[..., Any]) -> None:
    outcome = bathkin("doctor")
    assert outcome.code == 0
    assert f"ok  bathkin          {bk.__version__}" in outcome.out
    assert "plates 15.35 um/h when fresh" in outcome.out
    assert outcome.out.endswith("all works\n")
    assert bathkin("doctor", "--quiet").out == ""
    document = bathkin("doctor", "--json").document()
    assert document["fine"] is True
    assert {"what": "numpy", "found": "9.9", "fine": True, "cure": ""} in document["checks"]


def test_what_is_missing_is_named_with_its_cure(
    bathkin: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    def version(name: str) -> str:
        if name in ("pint", "typst"):
            raise importlib.metadata.PackageNotFoundError(name)
        return "9.9"

    monkeypatch.setattr(importlib.metadata, "version", version)
    outcome = bathkin("doctor")
    assert outcome.code == 3
    assert "NOT pint" in outcome.out
    assert "pip install pint" in outcome.out
    # An extra may be missing.
    assert "-   typst            not installed" in outcome.out
    assert 'for pages as PDF: pip install "bathkin[report]"' in outcome.out
    assert outcome.out.endswith("1 of 23 do not work\n")


def test_a_folder_that_cannot_be_written_and_a_font_that_is_missing(
    bathkin: Callable[..., Any], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    gone = tmp_path / "gone"
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(gone))
    monkeypatch.setattr(doctor, "FONT", "No Such Sans")
    outcome = bathkin("doctor", "--quiet")
    assert outcome.code == 3
    assert f"{gone} cannot be written: No such file or directory" in outcome.out
    assert "set TMPDIR to such a folder" in outcome.out
    assert "No Such Sans is missing" in outcome.out
    assert "ok " not in outcome.out
