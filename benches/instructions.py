"""Counts the instructions of a warm right-hand side, of lives and of a fit, and appends them to
`instructions.csv`.

Instructions repeat to a few in a thousand where seconds do not, so that a slow commit is seen.
They are those of `instructions.rs` in the release profile, counted by callgrind from the second
time the work is done on: memory is there, the recipe is read. The first recipe of a process reads
the constants too. One row for each piece of work, with the commit; `+` after it says that files
differed from it.
"""

import argparse
import csv
import datetime
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
TABLE = HERE / "instructions.csv"
COLUMNS = ("date", "commit", "rustc", "work", "instructions")
BUILD = ("cargo", "build", "--quiet", "--release", "-p", "benches", "--bin", "instructions")
WORKS = (
    "right-hand side, along a life",
    "life",
    "life, davies",
    "life, captive line",
    "life, copper-edta",
    "life, film",
    "life, mixed potential",
    "recipe",
    "recipe, first",
    "fit",
)


def output(*command: str) -> str:
    """What a command prints."""
    return subprocess.run(
        command, cwd=HERE, check=True, capture_output=True, text=True
    ).stdout.strip()


def commit() -> str:
    """The commit at hand."""
    changed = output("git", "status", "--porcelain", "--untracked-files=no")
    return output("git", "rev-parse", "--short", "HEAD") + ("+" if changed else "")


def instructions(program: Path, work: str) -> float:
    """Instructions of one piece of work."""
    with tempfile.TemporaryDirectory() as folder:
        run = subprocess.run(
            (
                "valgrind",
                "--tool=callgrind",
                f"--callgrind-out-file={folder}/out",
                # Counting begins and ends at this function.
                "--toggle-collect=*measured*",
                str(program),
                work,
            ),
            capture_output=True,
            text=True,
        )
    counted = re.search(r"Collected : (\d+)", run.stderr)
    if run.returncode != 0 or counted is None:
        raise SystemExit(f"valgrind counted nothing of {work!r}:\n{run.stderr}")
    return int(counted[1]) / int(run.stdout)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("work", nargs="*", help=f"what to count; all of it: {'; '.join(WORKS)}")
    works = parser.parse_args().work or WORKS
    unknown = [work for work in works if work not in WORKS]
    if unknown:
        print(f"no such work: {', '.join(unknown)}; valid: {'; '.join(WORKS)}", file=sys.stderr)
        return 2
    if shutil.which("valgrind") is None:
        print(
            "valgrind is not installed; it counts the instructions (Debian: apt install valgrind)",
            file=sys.stderr,
        )
        return 1
    output(*BUILD)
    target = Path(
        re.search(
            r'"target_directory":"([^"]*)"',
            output("cargo", "metadata", "--no-deps", "--format-version=1"),
        )[1]
    )
    same = {
        "date": datetime.date.today().isoformat(),
        "commit": commit(),
        "rustc": output("rustc", "--version").split()[1],
    }
    begins = not TABLE.exists()
    with TABLE.open("a", newline="") as file:
        table = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        if begins:
            table.writeheader()
        for work in works:
            counted = instructions(target / "release" / "instructions", work)
            table.writerow({**same, "work": work, "instructions": f"{counted:.0f}"})
            file.flush()
            print(f"{work:24}{counted:16,.0f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
