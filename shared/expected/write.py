"""Writes the expected results of the scenarios, each with the command that made it in its head.

    python shared/expected/write.py

from the root of the repository, after `make setup`. Look at what changed before you keep it.
"""

import subprocess
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SCENARIOS = ("job-shop", "captive-line", "lab-beaker", "copper-bail-out")
WITH_RACKS = ("job-shop", "lab-beaker")


def keep(command: list[str], option: str, target: Path) -> None:
    """Runs a command and keeps the file it writes to `option` below the command that made it."""
    shown = target.relative_to(ROOT).as_posix()
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "made.csv"
        subprocess.run(
            [*command, "--quiet", option, str(made)],
            check=True,
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
        )
        content = made.read_text(encoding="utf-8")
    head = f"# {' '.join(command)} {option} {shown}"
    note = "# invented for the demo; kept by shared/expected/write.py"
    target.write_text(f"{head}\n{note}\n{content}", encoding="utf-8")


def main() -> None:
    """All of them."""
    folder = ROOT / "shared" / "expected"
    for name in SCENARIOS:
        command = ["bathkin", "life", f"shared/scenarios/{name}.toml"]
        keep(command, "--csv", folder / f"{name}.csv")
        if name in WITH_RACKS:
            keep(command, "--loads", folder / f"{name}-racks.csv")


if __name__ == "__main__":
    main()
