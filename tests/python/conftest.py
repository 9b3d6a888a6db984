"""Fixtures of the tests of the face."""

from __future__ import annotations

from collections.abc import Callable

import bathkin as bk
import pytest
from bathkin.cli import run
from support import POWER_LAW, Outcome


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
