"""`bathkin again`: a result from the inputs that its JSON document holds."""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePath
from typing import Any

import click

from bathkin.cli.options import capture, output_options, print_json
from bathkin.cli.outputs import Command, OutputPath, echo, named
from bathkin.core import layout
from bathkin.core.origin import versions
from bathkin.errors import DataError
from bathkin.reports.inputs import content_of


@click.command(cls=Command)
@click.argument("result", type=click.Path(dir_okay=False, path_type=Path))
@output_options
@click.pass_context
def again(ctx: click.Context, result: Path, as_json: bool, quiet: bool) -> None:
    """The same result again, from the JSON document that holds its inputs.

    RESULT is what a command printed with --json: it holds the recipe with every change, the tables
    that were read, and what was asked. They are computed anew, and the document is printed as that
    command would, with or without --json. Standard error says when versions differ, and whether the
    document is the same.
    """
    told = read_document(result)
    inputs = told["inputs"]
    if inputs["versions"] != versions():
        made, now = (_versions_text(one) for one in (inputs["versions"], versions()))
        echo(f"bathkin: {result} was made by {made}; this is {now}", err=True)
    commands = getattr(ctx.find_root().command, "commands", {})
    command = commands.get(told["command"])
    if command is None or command is ctx.command:
        raise DataError(f"{result}: no command is called {told['command']}")
    found = computed(ctx, command, inputs, quiet)
    recipe = inputs.get("recipe")
    if recipe and found["inputs"]["recipe"]["digest"] != recipe["digest"]:
        # What the recipe stood on has changed since: the document's own recipe counts.
        what = f"the recipe {recipe['name']} is another one in this version"
        echo(f"bathkin: warning: {what}: that of {result} was used", err=True)
        found = computed(ctx, command, inputs, quiet, merged=True)
    print_json(found)
    if not quiet:
        where = difference(told, found)
        said = "the same document" if where is None else f"another document: first at {where}"
        echo(f"bathkin: again {said}", err=True)


def read_document(path: Path) -> dict[str, Any]:
    """A document with its inputs.

    Raises:
        DataError: For a file that is none, or was made without them.
    """
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise DataError(f"{path}: cannot be read: {error.strerror}") from error
    except ValueError as error:
        raise DataError(f"{path}: expected what a command prints with --json") from error
    parts = told.get("inputs") if isinstance(told, dict) else None
    wanted = {"versions": dict, "options": dict, "files": list}
    if not isinstance(parts, dict) or not isinstance(told.get("command"), str):
        raise DataError(f"{path}: expected what a command prints with --json, with its inputs")
    for name, kind in wanted.items():
        if not isinstance(parts.get(name), kind):
            raise DataError(f"{path}: inputs.{name} is missing or of another kind")
    held: dict[str, Any] = told
    return held


def computed(
    ctx: click.Context,
    command: click.Command,
    inputs: Mapping[str, Any],
    quiet: bool,
    *,
    merged: bool = False,
) -> dict[str, Any]:
    """The document of a command run on these inputs; `merged`, on the recipe as it became."""
    options = dict(inputs["options"])
    with _laid_out(inputs) as recipe:
        if recipe is not None:
            options["recipe"] = recipe
        if merged:
            name = f"{Path(str(options['recipe'])).stem}.toml"
            Path(name).write_text(inputs["recipe"]["merged"], encoding="utf-8")
            options["recipe"] = os.path.join(os.curdir, name)
            options.pop("set", None)
        words = ["--json", *(["--quiet"] if quiet else []), *arguments(command, options)]
        with capture() as printed, command.make_context(command.name, words, ctx) as inner:
            command.invoke(inner)
    return printed[0]


@contextlib.contextmanager
def _laid_out(inputs: Mapping[str, Any]) -> Iterator[str | None]:
    """The files of a document in a folder of their own, which is the current one meanwhile.

    Gives the path of the recipe's file, where it has one.
    """
    here = os.getcwd()
    recipe = inputs.get("recipe") or {}
    with tempfile.TemporaryDirectory(prefix="bathkin-") as folder:
        for held in inputs["files"]:
            content = content_of(held)
            if content is None:
                raise DataError(f"the document lacks the content of {held['name']}: it was a pipe")
            _lay(Path(folder), held["name"], content)
        if recipe.get("file") and isinstance(recipe.get("text"), str):
            _lay(Path(folder), recipe["file"], recipe["text"].encode())
        os.chdir(folder)
        try:
            yield os.path.join(os.curdir, recipe["file"]) if recipe.get("file") else None
        finally:
            os.chdir(here)


def _lay(folder: Path, name: str, content: bytes) -> None:
    plain = PurePath(name)
    if plain.is_absolute() or ".." in plain.parts:
        raise DataError(f"{name}: expected the name of a file, below no other folder")
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(content)


def arguments(command: click.Command, options: Mapping[str, Any]) -> list[str]:
    """What to write behind a command to ask the same."""
    words, positional = [], []
    known = {named(one): one for one in command.params if not isinstance(one.type, OutputPath)}
    for name, value in options.items():
        one = known.get(name)
        if one is None:
            raise DataError(f"{command.name} has no option {name} in this version")
        several = value if isinstance(value, list) else [value]
        if isinstance(one, click.Argument):
            positional += [str(each) for each in several]
        elif isinstance(one, click.Option) and one.is_flag:
            words += [one.opts[-1]] if value else []
        else:
            words += [word for each in several for word in (one.opts[0], str(each))]
    return [*words, "--", *positional] if positional else words


def difference(told: Any, found: Any, at: str = "") -> str | None:
    """Where two documents differ first, but for versions, with both values; None where nowhere."""
    if at == "inputs.versions":
        return None
    if isinstance(told, dict) and isinstance(found, dict):
        for key in [*told, *(key for key in found if key not in told)]:
            where = f"{at}.{key}" if at else key
            if (key in told) != (key in found):
                return f"{where}, which only one of them has"
            inner = difference(told[key], found[key], where)
            if inner is not None:
                return inner
        return None
    if isinstance(told, list) and isinstance(found, list) and len(told) == len(found):
        pairs = enumerate(zip(told, found, strict=True))
        inners = (difference(one, other, f"{at}.{row}") for row, (one, other) in pairs)
        return next((inner for inner in inners if inner is not None), None)
    return None if told == found else f"{at}: {_short(told)} was, {_short(found)} is"


def _short(value: Any) -> str:
    return layout.number(value, 10) if isinstance(value, float) else str(value)[:60]


def _versions_text(of: Mapping[str, Any]) -> str:
    return ", ".join(f"{name} {version}" for name, version in of.items())
