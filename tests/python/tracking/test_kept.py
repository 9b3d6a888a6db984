"""`today --keep` and `today --watch`. All data is invented."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from bathkin.cli.watch import watched
from bathkin.errors import DataError
from support import Outcome
from support.tanks import HEAD, ROWS, RUN_DOWN, tank

Command = Callable[..., Outcome]
FEW = ("--members", "5")


@pytest.fixture
def asked(tmp_path: Path) -> list[str]:
    recipe = tank(tmp_path, "low", RUN_DOWN)
    return ["today", str(recipe), *FEW, "--keep", str(tmp_path / "kept.json")]


def test_what_was_kept_is_shown_while_nothing_changed(
    bathkin: Command, asked: list[str], tmp_path: Path
) -> None:
    first = bathkin(*asked)
    again = bathkin(*asked)
    assert (first.code, again.code) == (4, 4)
    assert again.out == first.out
    assert "nothing changed since the kept result" in again.err
    assert bathkin(*asked, "--json").document()["alarms"][0]["code"] == "metal_low"
    # Another option, another result.
    assert "an option" in bathkin(*asked, "--seed", "2").err
    told = json.loads((tmp_path / "kept.json").read_text())
    (of_tank,) = told["tanks"].values()
    assert (told["format"], len(of_tank["rows"])) == (2, 8)


def test_a_row_more_and_a_row_changed_follow_the_whole_log(
    bathkin: Command, asked: list[str], tmp_path: Path
) -> None:
    log = tmp_path / "low.csv"
    bathkin(*asked)
    log.write_text("\n".join([HEAD, *RUN_DOWN, "2026-03-04 06:00,5.9,0.28,4.8,,0,0,0,0"]) + "\n")
    assert "1 row more than in the kept result: the whole log is followed" in bathkin(*asked).err
    log.write_text(log.read_text().replace("06:00,5.99,", "06:00,6.01,"))
    assert "row 1 changed since the kept result" in bathkin(*asked).err


def test_another_format_is_named_and_another_file_left_alone(
    bathkin: Command, asked: list[str], tmp_path: Path
) -> None:
    kept = tmp_path / "kept.json"
    bathkin(*asked)
    kept.write_text(kept.read_text().replace('"format": 2', '"format": 99'))
    outcome = bathkin(*asked)
    assert outcome.code == 4
    assert "kept.json has format 99, this is 2: ignored" in outcome.err
    assert json.loads(kept.read_text())["format"] == 2
    kept.write_text('{"mine": 1}')
    outcome = bathkin(*asked)
    assert outcome.code == 4
    assert "left alone, nothing is kept" in outcome.err
    assert kept.read_text() == '{"mine": 1}'


def test_several_tanks_are_kept_in_one_file(bathkin: Command, tmp_path: Path) -> None:
    names = [str(tank(tmp_path, "line-1")), str(tank(tmp_path, "line-2", RUN_DOWN))]
    line = ["today", *names, *FEW, "--keep", str(tmp_path / "kept.json")]
    first = bathkin(*line, "--full")
    again = bathkin(*line, "--full")
    assert (first.code, again.code) == (4, 4)
    assert again.out == first.out
    assert again.err.count("nothing changed since the kept result") == 2
    assert (
        bathkin(*line, "--json").document()["tanks"]
        == (bathkin(*line[:-2], "--json").document()["tanks"])
    )
    # One log goes on: that one alone is followed again.
    log = tmp_path / "line-1.csv"
    log.write_text(log.read_text() + "2026-03-04 06:00,5.9,0.28,4.8,,0,0,0,0\n")
    onward = bathkin(*line)
    assert f"{names[0]}: 1 row more than in the kept result" in onward.err
    assert f"{names[1]}: nothing changed" in onward.err
    assert bathkin(*line).out == onward.out
    # What was kept of the others stays where one is asked for.
    bathkin("today", names[0], *FEW, "--keep", str(tmp_path / "kept.json"))
    assert bathkin(*line).err.count("nothing changed since the kept result") == 2


def test_it_runs_again_when_a_file_was_saved(tmp_path: Path) -> None:
    log, runs, waits = tmp_path / "log.csv", [], []
    log.write_text("a")

    def once() -> None:
        runs.append(log.read_text())
        if len(runs) == 2:
            raise DataError("half written")

    def pause(_seconds: float) -> None:
        waits.append(len(runs))
        if len(waits) == 3:
            log.write_text("ab")
        if len(waits) == 8:
            log.write_text("abc")
        if len(waits) == 20:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        watched(once, lambda: [log], pause)
    assert runs == ["a", "ab", "abc"]


@pytest.mark.skipif(sys.platform == "win32", reason="signals of a terminal")
def test_a_saved_log_rewrites_the_page_and_ctrl_c_ends_with_130(tmp_path: Path) -> None:
    recipe, page = tank(tmp_path, "line-1"), tmp_path / "page.html"
    words = ["today", str(recipe), *FEW, "--watch", "--quiet", "--report", str(page)]
    command = [sys.executable, "-m", "bathkin", *words]
    output = {"stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, text=True, **output) as process:
        assert process.stderr is not None
        try:
            assert any("watching" in line for line in process.stderr)
            first = page.read_bytes()
            (tmp_path / "line-1.csv").write_text("\n".join([HEAD, *ROWS[:5]]) + "\n")
            assert any("watching" in line for line in process.stderr)
            assert page.read_bytes() != first
            assert "row 5 of" in page.read_text()
            process.send_signal(signal.SIGINT)
            assert process.wait(timeout=60) == 130
        finally:
            process.kill()
