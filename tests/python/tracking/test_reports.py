"""Pages of tanks and shifts. All data is invented."""

from __future__ import annotations

import builtins
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from bathkin.reports.page import Grid, Page, Sign, Words
from bathkin.reports.page_html import as_html
from bathkin.reports.page_pdf import as_pdf
from support import Outcome
from support.tanks import RUN_DOWN, tank

Command = Callable[..., Outcome]
FEW = ("--members", "5")
ROWS = [[f"row {number}", "1.25", ""] for number in range(150)]
# A table that goes over several sheets.
LONG = Page(
    "Long & <long>",
    "invented",
    [
        Words("first", "strong"),
        Grid(
            "Rows",
            ("number", "amount", "done by"),
            ROWS,
            (0,),
            (2,),
        ),
        Sign(("made up by", "checked by")),
    ],
    "2026-03-02 06:00",
)


def sheets(pdf: bytes) -> int:
    """How many sheets a PDF says it has."""
    return max(int(count) for count in re.findall(rb"/Count (\d+)", pdf))


def test_a_page_for_each_tank(bathkin: Command, tmp_path: Path) -> None:
    tanks = [str(tank(tmp_path, "line-1")), str(tank(tmp_path, "line-2", RUN_DOWN))]
    page, sheet = tmp_path / "wall.html", tmp_path / "wall.pdf"
    assert bathkin("today", *tanks, *FEW, "--report", str(page)).code == 4
    text = page.read_text()
    assert text.count("<section>") == 2
    assert text.count("data:image/svg+xml;base64,") == 2
    for words in ("Must be dumped", "nickel is at 58.8 % of its set-point", "The next 8 h take"):
        assert words in text, words
    # Nothing comes from outside.
    assert not re.findall(r'(?:src|href)="(?!data:)', text)
    assert bathkin("today", *tanks, *FEW, "--report", str(sheet)).code == 4
    assert sheets(sheet.read_bytes()) == 2
    before = sheet.read_bytes()
    bathkin("today", *tanks, *FEW, "--report", str(sheet))
    assert sheet.read_bytes() == before


def test_a_shift_sheet_to_sign(bathkin: Command, tmp_path: Path) -> None:
    page = tmp_path / "shift.html"
    asked = ["plan", str(tank(tmp_path, "line-1")), "--from", str(tmp_path / "line-1.csv")]
    start = ["--start", "2026-03-04 06:00", "--shift-h", "2"]
    assert bathkin(*asked, *start, "--report", str(page)).code == 0
    text = page.read_text()
    for words in ("shift sheet of line-1", "checked by", '<td class="write"></td>', "level: 400 L"):
        assert words in text, words
    assert bathkin(*asked, *start, "--report", str(tmp_path / "shift.pdf")).code == 0
    assert sheets((tmp_path / "shift.pdf").read_bytes()) == 1


def test_a_long_table_goes_on_over_sheets() -> None:
    assert sheets(as_pdf([LONG])) == 3
    text = as_html([LONG]).decode()
    assert "Long &amp; &lt;long&gt;" in text
    assert text.count("<td") == 450


def test_what_is_read_is_not_written_over(bathkin: Command, tmp_path: Path) -> None:
    recipe = tank(tmp_path, "line-1")
    (tmp_path / "line-1.csv").rename(tmp_path / "log.html")
    recipe.write_text(recipe.read_text().replace("line-1.csv", "log.html"))
    before = (tmp_path / "log.html").read_bytes()
    outcome = bathkin("today", str(recipe), *FEW, "--report", str(tmp_path / "log.html"))
    assert outcome.code == 2
    assert (tmp_path / "log.html").read_bytes() == before
    outcome = bathkin("today", str(recipe), "--report", "page.txt")
    assert "ends in .html or .htm or .pdf" in outcome.err


def test_a_pdf_without_typst_names_the_line_that_brings_it(
    bathkin: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true_import = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "typst":
            raise ImportError(name)
        return true_import(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    outcome = bathkin("today", str(tank(tmp_path, "line-1")), "--report", str(tmp_path / "a.pdf"))
    assert outcome.code == 2
    assert 'pip install "bathkin[report]"' in outcome.err
    assert not (tmp_path / "a.pdf").exists()
