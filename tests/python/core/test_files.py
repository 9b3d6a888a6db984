"""Files that are written: whole or not at all, and over nothing that is read."""

from __future__ import annotations

import os
import resource
import stat
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pandas as pd
import pytest
from bathkin.core import files
from support import Outcome

Command = Callable[..., Outcome]
RACKS = "rack,in_h,minutes,area_dm2\na,0,60,40\nb,2,60,40\n"
SHORT = ("--set", "limits.turnovers=0.05")
posix = pytest.mark.skipif(os.name == "nt", reason="files of another kind there")


def spawned(*arguments: str, **how: object) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "bathkin", *arguments]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **how}
    return subprocess.run(command, timeout=120, check=False, **pipes)  # type: ignore[call-overload,no-any-return]


@posix
def test_a_pipe_is_written_to_and_stays_one(bathkin: Command, tmp_path: Path) -> None:
    fifo, got = tmp_path / "rows.csv", []
    os.mkfifo(fifo)
    reader = threading.Thread(target=lambda: got.append(fifo.read_bytes()), daemon=True)
    reader.start()
    outcome = bathkin("rate", "nickel-acid", "--csv", str(fifo))
    reader.join(20)
    assert outcome.code == 0
    assert got[0].startswith(b"deposition_um_h,")
    assert stat.S_ISFIFO(fifo.stat().st_mode)
    assert f"wrote {fifo}" in outcome.out


@posix
def test_a_device_is_written_to_and_stays_one(bathkin: Command) -> None:
    before = os.stat(os.devnull)
    assert bathkin("rate", "nickel-acid", "--csv", os.devnull).code == 0
    after = os.stat(os.devnull)
    assert (before.st_ino, before.st_rdev) == (after.st_ino, after.st_rdev)


@posix
@pytest.mark.parametrize("to_a_file", [True, False])
def test_standard_output_by_its_name(tmp_path: Path, to_a_file: bool) -> None:
    arguments = ("rate", "nickel-acid", "--quiet", "--csv", "/dev/stdout")
    if to_a_file:
        with (tmp_path / "all.txt").open("wb") as into:
            done = spawned(*arguments, stdout=into)
        text = (tmp_path / "all.txt").read_bytes()
    else:
        done = spawned(*arguments)
        text = done.stdout
    assert done.returncode == 0
    assert text.startswith(b"rate of the fresh bath")
    assert text.count(b"\ndeposition_um_h,") == 1
    assert done.stderr == b"wrote /dev/stdout\n"


@posix
def test_a_link_stays_one_and_its_target_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    target, link = tmp_path / "there" / "real.csv", tmp_path / "link.csv"
    link.symlink_to(target)
    files.write(link, b"first")
    assert link.is_symlink()
    assert target.read_bytes() == b"first"
    target.chmod(0o640)
    files.write(link, b"second")
    assert link.is_symlink()
    assert target.read_bytes() == b"second"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert [one.name for one in target.parent.iterdir()] == ["real.csv"]


def test_what_is_written_is_synced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced = []
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda at: (synced.append(os.fstat(at).st_mode), real(at)))
    files.write(tmp_path / "a.csv", b"x")
    kinds = [stat.S_ISDIR(mode) for mode in synced]
    assert kinds == [False, True]


@posix
@pytest.mark.parametrize("who", ["the user", "root"])
def test_a_read_only_file_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, who: str
) -> None:
    path = tmp_path / "kept.csv"
    path.write_text("mine")
    path.chmod(0o444)
    if who == "root":
        # Root may write anything, so the system allows it; the mode bits say what is meant.
        monkeypatch.setattr(os, "access", lambda *_, **__: True)
    with pytest.raises(PermissionError, match=r"kept\.csv: the file may not be written to"):
        files.write(path, b"theirs")
    path.chmod(0o644)
    assert path.read_text() == "mine"
    folder = tmp_path / "shut"
    folder.mkdir()
    folder.chmod(0o555)
    with pytest.raises(PermissionError, match="the directory may not be written to"):
        files.write(folder / "new.csv", b"x")
    folder.chmod(0o755)
    assert list(folder.iterdir()) == []


@posix
@pytest.mark.skipif(getattr(os, "geteuid", lambda: 1)() != 0, reason="needs another user")
def test_unprivileged_a_file_of_another_is_left_alone() -> None:
    # A folder of its own: that of the tests is root's alone.
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o777)
        _check_as_nobody(folder)


def _check_as_nobody(folder: Path) -> None:
    nobody = 65534
    theirs = folder / "theirs.csv"
    theirs.write_text("root's")
    theirs.chmod(0o644)

    def tried() -> int:
        os.setgid(nobody)
        os.setuid(nobody)
        try:
            files.write(theirs, b"nobody's")
        except PermissionError as error:
            return 7 if "theirs.csv: the file may not be written to" in str(error) else 8
        return 9

    child = os.fork()
    if child == 0:
        try:
            os._exit(tried())
        finally:
            os._exit(11)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert theirs.read_text() == "root's"
    assert code == 7


@posix
def test_a_folder_and_a_socket_are_refused(tmp_path: Path) -> None:
    import socket

    with pytest.raises(IsADirectoryError, match="is a directory"):
        files.write(tmp_path, b"x")
    here = os.getcwd()
    os.chdir(tmp_path)
    try:
        with socket.socket(socket.AF_UNIX) as one:
            one.bind("s.csv")
            with pytest.raises(PermissionError, match="is a socket"):
                files.write("s.csv", b"x")
    finally:
        os.chdir(here)
    with pytest.raises(FileNotFoundError, match="there is no directory"):
        files.write(tmp_path / "none" / "a.csv", b"x")


@pytest.mark.parametrize("option", ["--csv", "--ledger", "--loads"])
@pytest.mark.parametrize("how", ["named in the recipe", "--set", "--calendar", "a hard link"])
def test_a_calendar_is_never_replaced(
    bathkin: Command, tmp_path: Path, option: str, how: str
) -> None:
    racks, recipe = tmp_path / "racks.csv", tmp_path / "line.toml"
    racks.write_text(RACKS)
    recipe.write_text("base = 'nickel-acid'\n" + "work.calendar = 'racks.csv'\n" * ("-" not in how))
    given = {
        "--set": ("--set", f"work.calendar={racks}"),
        "--calendar": ("--calendar", str(racks)),
    }.get(how, ())
    into = racks
    if how == "a hard link":
        into = tmp_path / "twin.csv"
        into.hardlink_to(racks)
    outcome = bathkin("life", str(recipe), *given, option, str(into))
    assert outcome.code == 2
    assert f"{option} {into}: that file is read: expected another one" in outcome.err
    assert racks.read_text() == RACKS


def test_a_calendar_of_a_strategy_is_never_replaced(bathkin: Command, tmp_path: Path) -> None:
    racks = tmp_path / "racks.csv"
    racks.write_text(RACKS)
    strategy = f"racks:work.calendar={racks}"
    outcome = bathkin("compare", "nickel-acid", "--strategy", strategy, "--csv", str(racks))
    assert outcome.code == 2
    assert "that file is read" in outcome.err
    assert racks.read_text() == RACKS


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("life", "nickel-acid", "--report", "x.pdf"), "ends in .html or .htm"),
        (("life", "nickel-acid", "--report", "page"), "ends in .html or .htm"),
        (("life", "nickel-acid", "--csv", "x.xlsx"), "ends in .csv or .txt"),
        (("rate", "nickel-acid", "--csv", "x.png"), "ends in .csv or .txt"),
        (
            ("compare", "nickel-acid", "--bleed-for", "ph", "--csv", "x.csv"),
            "takes no --start, --csv",
        ),
        (("life", "nickel-acid", "--sensitivity", "--loads", "x.csv"), "takes no --start, --loads"),
    ],
)
def test_a_file_of_another_kind_than_it_says(
    bathkin: Command,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: tuple[str, ...],
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    outcome = bathkin(*arguments)
    assert outcome.code == 2
    assert said in outcome.err
    assert list(tmp_path.iterdir()) == []


@posix
@pytest.mark.parametrize("as_json", [True, False])
def test_who_reads_the_head_gets_the_files_too(tmp_path: Path, as_json: bool) -> None:
    table = tmp_path / "life.csv"
    command = [sys.executable, "-m", "bathkin", "life", "nickel-acid", *SHORT, "--csv", str(table)]
    program = subprocess.Popen(
        command + ["--json"] * as_json, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert program.stdout is not None
    assert program.stderr is not None
    program.stdout.close()
    error = program.stderr.read()
    assert program.wait(timeout=120) == 0
    program.stderr.close()
    assert b"Traceback" not in error
    assert table.read_text().startswith("turnovers,")


@posix
def test_a_full_disk_names_the_file(bathkin: Command) -> None:
    outcome = bathkin("rate", "nickel-acid", "--csv", "/dev/full")
    assert outcome.code == 3
    assert outcome.err == "bathkin: error: /dev/full could not be written: the disk is full\n"


@posix
def test_a_full_disk_under_standard_output_loses_no_file(tmp_path: Path) -> None:
    with open("/dev/full", "wb") as full:
        table = tmp_path / "rate.csv"
        done = spawned("rate", "nickel-acid", "--csv", str(table), stdout=full)
    assert done.returncode == 3
    assert b"standard output could not be written: the disk is full" in done.stderr
    assert table.read_text().startswith("deposition_um_h,")


@posix
def test_a_file_too_large_leaves_the_old_one(tmp_path: Path) -> None:
    table = tmp_path / "life.csv"
    table.write_text("old")

    def small() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))

    done = spawned("life", "nickel-acid", *SHORT, "--csv", str(table), preexec_fn=small)
    assert done.returncode == 3
    assert f"{table} could not be written: the disk is full" in done.stderr.decode()
    assert table.read_text() == "old"
    assert [one.name for one in tmp_path.iterdir()] == ["life.csv"]


def test_an_interrupt_between_two_files_tells_of_the_first(
    bathkin: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("bathkin.sweeps.table.Sweep.plot", interrupt)
    table, picture = tmp_path / "rows.csv", tmp_path / "rows.png"
    vary = ("rate", "nickel-acid", "--vary", "operation.ph=4.4,4.8")
    outcome = bathkin(*vary, "--csv", str(table), "--plot", str(picture))
    assert outcome.code == 130
    assert outcome.err.strip() == f"bathkin: interrupted; {table} had been written"


def test_texts_of_the_user_are_no_formulas(tmp_path: Path) -> None:
    names = ["=1+2", "+a", "-b", "@SUM(A1)", "\tx", "\ry", "rack = 7", "-0.5"]
    table = pd.DataFrame({"name": names, "=h": -1.5, "mixed": [-2, "=x", *[None] * 6]})
    path = tmp_path / "a.csv"
    files.write_table(path, table)
    read = pd.read_csv(path, dtype=str, keep_default_na=False)
    assert list(read["name"]) == [
        *["'=1+2", "'+a", "'-b", "'@SUM(A1)", "'\tx", " y"],
        *["rack = 7", "-0.5"],
    ]
    assert list(read["'=h"]) == ["-1.5"] * 8
    assert list(read["mixed"])[:2] == ["-2", "'=x"]
    assert list(table["name"]) == names


def test_racks_and_numbers_as_a_spreadsheet_opens_them(bathkin: Command, tmp_path: Path) -> None:
    racks, loads = tmp_path / "racks.csv", tmp_path / "loads.csv"
    racks.write_text('rack,in_h,minutes,area_dm2\n"=HYPERLINK(""x"")",0,60,40\n')
    life = ("life", "nickel-acid", "--calendar", str(racks), "--set", "life.longest_clock_h=5")
    assert bathkin(*life, "--loads", str(loads)).code == 0
    assert loads.read_text().splitlines()[1].startswith('"\'=HYPERLINK(""x"")",')


def test_numbers_written_read_back_unchanged(bathkin: Command, tmp_path: Path) -> None:
    table = tmp_path / "rate.csv"
    vary = ("--vary", "operation.ph=4.4,4.8", "--csv", str(table))
    outcome = bathkin("rate", "nickel-acid", *vary, "--json")
    runs = bk.read_runs(pd.read_csv(table)[["operation.ph", "deposition_um_h"]])
    wanted = [point["deposition_um_h"] for point in outcome.document()["points"]]
    assert runs.columns["deposition_um_h"] == pytest.approx(wanted, rel=1e-9)


def test_a_life_replaces_nothing_its_recipe_reads(tmp_path: Path) -> None:
    racks, recipe = tmp_path / "racks.csv", tmp_path / "line.toml"
    racks.write_text(RACKS)
    recipe.write_text(
        "base = 'nickel-acid'\nwork.calendar = 'racks.csv'\nlife.longest_clock_h = 5\n"
    )
    with pytest.warns(bk.BathkinWarning, match="no limit was reached"):
        life = bk.load_recipe(recipe).simulate_life()
    for write in (life.to_csv, life.ledger_to_csv, life.loads_to_csv):
        for path in (racks, recipe):
            with pytest.raises(FileExistsError, match="that file is read"):
                write(path)
    assert racks.read_text() == RACKS
