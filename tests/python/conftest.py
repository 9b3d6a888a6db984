"""What the tests of the face share."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import bathkin as bk
import pytest
from bathkin.cli import run

ROOT = Path(__file__).resolve().parents[2]
# Acid nickel by a plain power law, for what is asserted of that form; the built-in law is another.
POWER_LAW = ROOT / "benches/data/power-law.toml"


@dataclass(frozen=True)
class Outcome:
    """What a command printed and its exit code."""

    code: int
    out: str
    err: str

    def document(self) -> dict[str, Any]:
        """Standard output as one JSON document; NaN and Infinity are refused."""

        def refuse(word: str) -> None:
            raise AssertionError(f"{word} is not JSON")

        read: dict[str, Any] = json.loads(self.out, parse_constant=refuse)
        return read


@pytest.fixture
def bathkin(capsys: pytest.CaptureFixture[str]) -> Callable[..., Outcome]:
    """Runs a command in this process."""

    def call(*arguments: str) -> Outcome:
        capsys.readouterr()
        code = run(list(arguments))
        printed = capsys.readouterr()
        return Outcome(code, printed.out, printed.err)

    return call


@pytest.fixture(scope="session")
def recipe() -> bk.Recipe:
    return bk.load_recipe("nickel-acid")


@pytest.fixture(scope="session")
def power_law() -> bk.Recipe:
    return bk.load_recipe(POWER_LAW)


@pytest.fixture(scope="session")
def life(recipe: bk.Recipe) -> bk.Life:
    return bk.simulate_life(recipe)
