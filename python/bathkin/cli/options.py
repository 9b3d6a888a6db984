"""What the commands share: options, the recipe with its changes, and how a result is printed."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from bathkin import files, tables
from bathkin.errors import RecipeError
from bathkin.flags import Flag
from bathkin.recipe import Recipe, load_changed

Function = TypeVar("Function", bound=Callable[..., Any])


class Command(click.Command):
    """A command that knows before it computes that it can write, and replaces nothing it reads."""

    def invoke(self, ctx: click.Context) -> Any:
        """Runs it.

        Raises:
            click.UsageError: For a file to write that is read, or written by another option.
            OSError: For one in a directory that is not there.
        """
        outputs = {one.name: one.opts[-1] for one in self.params if one.type is output_path}
        kept = [(path, "is read") for path in _inputs(ctx.params, outputs)]
        for name, option in outputs.items():
            path = ctx.params.get(name or "")
            if path is None:
                continue
            files.check_place(path)
            for known, how in kept:
                if path.resolve() == known.resolve():
                    message = f"{option} {path}: that file {how}: expected another one"
                    raise click.UsageError(message, ctx)
            kept.append((path, f"is written by {option}"))
        return super().invoke(ctx)


def _inputs(params: Mapping[str, Any], outputs: Collection[str | None]) -> list[Path]:
    """The files that a command reads; its recipe may be one."""
    found = []
    for name, value in params.items():
        if name in outputs:
            continue
        several = value if isinstance(value, tuple) else (value,)
        found += [one for one in several if isinstance(one, Path)]
        found += [Path(one) for one in several if name == "recipe" and isinstance(one, str)]
    return found


def output_options(function: Function) -> Function:
    """--json and --quiet."""
    quiet = click.option("--quiet", is_flag=True, help="Leave out doubts, cautions and progress.")
    as_json = click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
    return as_json(quiet(function))


def recipe_options(function: Function) -> Function:
    """RECIPE, --set, --json and --quiet."""
    settings = click.option(
        "--set",
        "settings",
        multiple=True,
        metavar="PATH=VALUE",
        help='Change a value, e.g. tank.volume_l=300 or "tank.volume_l=80 gal". Repeatable.',
    )
    return click.argument("recipe")(settings(output_options(function)))


def read_recipe(name: str, settings: Sequence[str], calendar: Path | None = None) -> Recipe:
    """The recipe with the file of --calendar and the changes of --set, checked in the end."""
    changes = [] if calendar is None else [("work.calendar", str(calendar), "--calendar")]
    for setting in settings:
        path, equals, value = setting.partition("=")
        if not equals or not path.strip() or not value.strip():
            raise RecipeError(f"--set {setting}: expected PATH=VALUE")
        changes.append((path.strip(), value.strip(), "--set"))
    return load_changed(name, changes)


def print_json(document: dict[str, Any]) -> None:
    """One document on standard output."""
    click.echo(json.dumps(document, indent=2, allow_nan=False, ensure_ascii=False))


def print_result(text: str, recipe: Recipe, flags: Sequence[Flag], quiet: bool) -> None:
    """A result, and unless quiet the doubts and cautions that go with it."""
    click.echo(text)
    if quiet:
        return
    for title, items in (("Doubts", [str(f) for f in flags]), ("Cautions", recipe.cautions)):
        if items:
            click.echo(f"\n{title}")
            for item in items:
                click.echo(tables.wrapped(f"- {item}", 2, 4))


def written(path: Path, as_json: bool, existed: bool) -> None:
    """Says which file was written; beside a JSON document, on standard error."""
    click.echo(f"{'replaced' if existed else 'wrote'} {path}", err=as_json)


def check_pictures(*paths: Path | None) -> None:
    """Refuses pictures in a format that is not known, before anything is computed."""
    for path in paths:
        if path is not None:
            from bathkin.plots import check_format

            check_format(path)


def write_files(
    outputs: Sequence[tuple[Path | None, Callable[[Path], object]]], as_json: bool
) -> None:
    """Writes the files that were asked for, and says so below the result."""
    asked = [(path, write) for path, write in outputs if path is not None]
    if asked and not as_json:
        click.echo()
    for path, write in asked:
        existed = path.exists()
        write(path)
        written(path, as_json, existed)


output_path = click.Path(dir_okay=False, path_type=Path)
