"""What a result was computed from, as its JSON document holds it: enough to compute it again."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from contextvars import ContextVar
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

from bathkin.core.origin import digest_of, versions
from bathkin.recipe.document import CALENDAR

if TYPE_CHECKING:
    from bathkin.recipe.document import RecipeDocument


class Aliases:
    """Names of files without the folders of this machine, each of its own.

    Attributes:
        names: For every path as it was given, its name in the document.
    """

    def __init__(self) -> None:
        self.names: dict[str, str] = {}

    def add(self, given: str, name: str | None = None) -> str:
        """The name of a file: its own, with folders before it where another one has the same."""
        if given in self.names:
            return self.names[given]
        parts = [part for part in PurePath(given).parts if part not in ("/", "..", ".")]
        taken = set(self.names.values())
        chosen = name or parts[-1]
        for count in range(2, len(parts) + 1):
            if chosen not in taken:
                break
            chosen = "/".join(parts[-count:])
        while chosen in taken:
            chosen = f"again/{chosen}"
        self.names[given] = chosen
        return chosen

    def told(self, value: Any) -> Any:
        """A value with these names in place of the paths, in every text and name in it."""
        # Those with folders; the longest first, as one may begin with another.
        longest = sorted(self.names.items(), key=lambda pair: -len(pair[0]))
        changed = [(given, name) for given, name in longest if given != name]
        return _replaced(value, changed) if changed else value


def _replaced(value: Any, changed: Sequence[tuple[str, str]]) -> Any:
    if isinstance(value, str):
        for given, name in changed:
            value = value.replace(given, name)
        return value
    if isinstance(value, Mapping):
        return {_replaced(key, changed): _replaced(inner, changed) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_replaced(inner, changed) for inner in value]
    return value


class Asked:
    """What a command was asked: its options, and the files that it reads.

    Attributes:
        options: By the names of options and arguments, as they were given.
        read: Files, as they were named.
    """

    def __init__(self, options: Mapping[str, Any]) -> None:
        self.options = dict(options)
        self.read: list[Path] = []


# What the command that runs was asked; None from Python.
ASKED: ContextVar[Asked | None] = ContextVar("asked", default=None)


def with_inputs(
    document: Mapping[str, Any], recipe: RecipeDocument | None, **more: Any
) -> dict[str, Any]:
    """A document with its inputs, and without the folders of this machine.

    Args:
        document: What is told.
        recipe: The recipe with every change, if there is one.
        more: What else the result depends on, such as the seed.
    """
    asked = ASKED.get() or _from_python(recipe)
    aliases = Aliases()
    held = _recipe_inputs(aliases, recipe) if recipe is not None else {}
    own = None if recipe is None else Path(recipe.file)
    named = recipe.files() if recipe is not None else []
    tables = {str(path): path for path in (*asked.read, *named) if path != own}
    files = [_file_inputs(path, aliases.add(given)) for given, path in tables.items()]
    inputs = {
        "versions": versions(),
        **more,
        "options": aliases.told(asked.options),
        **held,
        "files": files,
    }
    return {**aliases.told(document), "inputs": inputs}


def _from_python(recipe: RecipeDocument | None) -> Asked:
    """What a command would be asked for a recipe that was changed in Python."""
    if recipe is None:
        return Asked({})
    changes = [f"{path}={_as_text(value)}" for path, value in recipe._core.overrides()]
    name = recipe.file
    asked = Asked({"recipe": name, **({"set": changes} if changes else {})})
    asked.read += recipe.files()
    return asked


def _as_text(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _recipe_inputs(aliases: Aliases, recipe: RecipeDocument) -> dict[str, Any]:
    """A recipe: its text, what was changed, what it became, and the tolerances of its lives."""
    built_in = recipe.is_built_in()
    text: str | None = None if built_in else recipe.text
    named = next((entry.value for entry in recipe.numbers() if entry.path == CALENDAR), None)
    for path in recipe._core.files():
        if path == recipe.file or named is None:
            alias = aliases.add(path)
        else:
            plain = PurePath(named)
            inside = not plain.is_absolute() and ".." not in plain.parts
            alias = aliases.add(path, named if inside else None)
            # Where the recipe says a folder of this machine, its text says the name instead.
            text = text.replace(named, alias) if text is not None and not inside else text
        # As it is read, it may be written shorter: without the ./ before it.
        aliases.names[str(Path(path))] = alias
    merged = recipe._core.merged()
    of = {
        "name": recipe.name,
        "file": None if built_in else aliases.names[recipe.file],
        "digest": recipe.digest,
        "changed": aliases.told(recipe.changed),
        "text": text,
        "merged": merged,
    }
    return {"recipe": of, "solver": recipe._core.solver().to_dict()}


def _file_inputs(path: Path, name: str) -> dict[str, Any]:
    """A file that was read: its name, digest and content; no content of what is read only once."""
    if not path.is_file():
        return {"name": name, "digest": None, "text": None}
    content = path.read_bytes()
    try:
        held = {"text": content.decode()}
    except UnicodeDecodeError:
        held = {"base64": base64.b64encode(content).decode("ascii")}
    return {"name": name, "digest": digest_of(content), **held}


def content_of(held: Mapping[str, Any]) -> bytes | None:
    """The content of a file that a document holds; None where it holds none."""
    if isinstance(held.get("base64"), str):
        return base64.b64decode(held["base64"])
    text = held.get("text")
    return text.encode() if isinstance(text, str) else None
