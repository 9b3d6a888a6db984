"""What checks the built site finds what it is there for."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest
from support import ROOT


@pytest.fixture(scope="module")
def check() -> ModuleType:
    path = ROOT / "docs" / "_sphinx" / "check_site.py"
    spec = importlib.util.spec_from_file_location("check_site", path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_links_that_lead_nowhere_and_outside_hosts_are_found(
    check: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "guide").mkdir()
    (tmp_path / "index.html").write_text(
        '<h1 id="top">x</h1> <a href="#top">y</a> <a href="guide/">y</a> '
        '<a href="guide/index.html#there">y</a> <a href="https://host.example/y">y</a>'
    )
    (tmp_path / "guide" / "index.html").write_text('<h1 id="there">x</h1>')
    assert check.main(tmp_path) == 0
    assert capsys.readouterr().out.startswith("2 pages: none asks")
    (tmp_path / "bad.html").write_text(
        '<script src="//host.example/a.js"></script> <img src="picture.svg"> '
        '<a href="guide/index.html#gone">y</a> <a href="gone.html">y</a>'
    )
    assert check.main(tmp_path) == 1
    assert capsys.readouterr().out.splitlines() == [
        "bad.html: asks //host.example/a.js",
        "bad.html: gone.html is not in the site",
        "bad.html: guide/index.html#gone has no such anchor",
        "bad.html: picture.svg is not in the site",
    ]


def test_a_folder_of_this_machine_is_found(
    check: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "index.html").write_text(f"<p>{tmp_path}/log.csv: 60 rows</p>")
    assert check.main(tmp_path / "site") == 1
    assert capsys.readouterr().out == f"index.html: names {tmp_path}, where it was built\n"


def test_a_site_without_pages_is_a_fault(check: ModuleType, tmp_path: Path) -> None:
    assert check.main(tmp_path) == 1
