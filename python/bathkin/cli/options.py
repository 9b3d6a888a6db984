"""What the commands share: options, the recipe with its changes, and how a result is printed."""

from __future__ import annotations

import contextlib
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextvars import ContextVar
from pathlib import Path
from typing import Any, TypeVar

import click

from bathkin.cli.outputs import echo, reading
from bathkin.core import layout
from bathkin.core.flags import Flag, is_standing
from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe, load_changed

Function = TypeVar("Function", bound=Callable[..., Any])
_CAPTURED: ContextVar[list[dict[str, Any]] | None] = ContextVar("captured", default=None)


def output_options(function: Function) -> Function:
    """--json and --quiet."""
    quiet = click.option(
        "--quiet",
        is_flag=True,
        help="Leave out cautions, progress and standing remarks; warnings go to standard error.",
    )
    as_json = click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
    return as_json(quiet(function))


def recipe_options(function: Function) -> Function:
    """RECIPE, --set, --json and --quiet."""
    settings = click.option(
        "--set",
        "settings",
        multiple=True,
        metavar="PATH=VALUE",
        help='Change a value, e.g. tank.volume_l=300 or "tank.volume_l=80 gal"; "off" for a'
        " number that may be left out. Repeatable.",
    )
    return click.argument("recipe")(settings(output_options(function)))


def start_option(function: Function) -> Function:
    """--start."""
    return click.option(
        "--start",
        metavar="DATE",
        help='When the bath is made up, "2026-03-02 06:00": dates beside hours.',
    )(function)


def read_recipe(name: str, settings: Sequence[str], calendar: Path | None = None) -> Recipe:
    """The recipe with the file of --calendar and the changes of --set, checked in the end."""
    changes = [] if calendar is None else [("work.calendar", str(calendar), "--calendar")]
    for setting in settings:
        path, equals, value = setting.partition("=")
        if not equals or not path.strip() or not value.strip():
            raise RecipeError(f"--set {setting}: expected PATH=VALUE")
        changes.append((path.strip(), value.strip(), "--set"))
    recipe = load_changed(name, changes)
    reading(recipe.files())
    return recipe


def print_json(document: dict[str, Any]) -> None:
    """One document on standard output, or to who captures it."""
    captured = _CAPTURED.get()
    if captured is not None:
        captured.append(document)
        return
    echo(json.dumps(document, indent=2, allow_nan=False, ensure_ascii=False))


@contextlib.contextmanager
def capture() -> Iterator[list[dict[str, Any]]]:
    """The documents of what runs meanwhile, in place of printing them."""
    documents: list[dict[str, Any]] = []
    before = _CAPTURED.set(documents)
    try:
        yield documents
    finally:
        _CAPTURED.reset(before)


def print_result(text: str, recipe: Recipe, flags: Sequence[Flag], quiet: bool) -> None:
    """A result with the warnings and cautions that go with it.

    Quiet, warnings about this input or result go to standard error, and the rest nowhere.
    """
    echo(text)
    if quiet:
        for flag in flags:
            if not is_standing(flag):
                echo(f"bathkin: warning: {flag}", err=True)
        return
    for title, items in (("Warnings", [str(f) for f in flags]), ("Cautions", recipe.cautions)):
        if items:
            echo(f"\n{title}")
            for item in items:
                echo(layout.wrapped(f"- {item}", 2, 4))


def shows_progress(as_json: bool, quiet: bool) -> bool:
    """Whether long work shows a bar: to a person, and not beside a document."""
    return sys.stderr.isatty() and not (quiet or as_json)
