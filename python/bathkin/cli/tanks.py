"""Tanks that `bathkin today` is asked for, each with its log, and what comes of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from bathkin.cli.options import read_recipe
from bathkin.cli.outputs import reading
from bathkin.cli.told import Told
from bathkin.errors import BathkinError, ConvergenceError, DataError
from bathkin.life.plan import Plan
from bathkin.recipe.recipe import Recipe, recipes
from bathkin.tracking.track import Track

DONE, WRONG_INPUT, FAILED, ALARM = 0, 2, 3, 4


@dataclass(frozen=True)
class Tank:
    """A tank and what is said of it, or why nothing is.

    Attributes:
        asked: Its recipe, as it was given.
        recipe: The recipe.
        told: What is said of it.
        followed: The bath along its log and its next shift; none where what is said was kept.
        error: Why nothing is said.
    """

    asked: str
    recipe: Recipe | None = None
    told: Told | None = None
    followed: tuple[Track, Plan] | None = None
    error: BathkinError | OSError | None = None

    def document(self) -> dict[str, Any]:
        """What the JSON document of several tanks says of it."""
        if self.recipe is None or self.told is None:
            return {"file": self.asked, "recipe": None, "error": str(self.error)}
        of = self.recipe
        named = {"file": self.asked, "recipe": of.name}
        return {**named, **self.told.values, "cite": of.cite, "cautions": of.cautions}


def asked_for(recipe: str, more: Sequence[str]) -> tuple[list[str], list[Path]]:
    """Recipes, and the logs of a single one: all that is behind it and no recipe.

    Raises:
        click.UsageError: For a log among several recipes.
    """
    if not any(map(_is_recipe, more)):
        return [recipe], [Path(one) for one in more]
    named = [recipe, *more]
    for one in named:
        if len(named) > 1 and not _is_recipe(one):
            raise click.UsageError(
                f"{one}: expected recipes alone, as there are several: each names its log, [log]"
                ' file = "log.csv"; or behind one recipe the logs of its bath alone'
            )
    return named, []


def _is_recipe(text: str) -> bool:
    return text.lower().endswith(".toml") or text in recipes()


def recipe_and_log(
    name: str, settings: Sequence[str], given: Sequence[Path] = ()
) -> tuple[Recipe, list[Path]]:
    """A recipe and the files of its log, those given or the one it names, noted as read.

    Raises:
        DataError: Without a log.
    """
    of = read_recipe(name, settings)
    logs = list(given) or [Path(name) for name in of.log_files()]
    if not logs:
        expected = 'LOG behind the recipe, or in the recipe [log] file = "log.csv"'
        raise DataError(f"{name}: no log: expected {expected}")
    reading(logs)
    return of, logs


def each_told(names: Sequence[str], tell: Callable[[str], Tank]) -> list[Tank]:
    """Every tank; one that cannot be followed keeps none of the others from being shown."""
    found = []
    for name in names:
        try:
            found.append(tell(name))
        except (BathkinError, OSError) as error:
            found.append(Tank(name, error=error))
    return found


def exit_code(tanks: Sequence[Tank]) -> int:
    """2 for wrong input, or else 3 for what failed, or else 4 for an alarm."""
    errors = [tank.error for tank in tanks if tank.error is not None]
    if any(not isinstance(error, ConvergenceError) for error in errors):
        return WRONG_INPUT
    if errors:
        return FAILED
    return ALARM if any(tank.told and tank.told.alarms for tank in tanks) else DONE
