"""The result of the last `bathkin today`, kept in a file of its own: safe to lose."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from bathkin.core import files
from bathkin.core.origin import digest_of, versions
from bathkin.recipe.recipe import Recipe
from bathkin.tables.logs import Log

FORMAT = 1
# Digits of the digest of a row.
_DIGITS = 16


class Kept(NamedTuple):
    """What a run is known by, and what it showed.

    Attributes:
        recipe: Digest of the recipe, its files and the options.
        rows: Digest of each row of the log.
        document: Its JSON document.
        screen: Its text.
        code: Its exit code.
    """

    recipe: str
    rows: list[str]
    document: dict[str, Any]
    screen: str
    code: int


def known_by(of: Recipe, log: Log, options: Mapping[str, Any]) -> tuple[str, list[str]]:
    """Digest of recipe and options, and of each row."""
    named = [digest_of(path.read_bytes()) for path in of.files() if path.is_file()]
    asked = [of.digest, *named, options, versions()]
    names = list(log.columns)
    start = str(log.start)
    rows = [
        digest_of(json.dumps([start, names, *cells]).encode())[:_DIGITS]
        for cells in zip(*log.columns.values(), strict=True)
    ]
    return digest_of(json.dumps(asked, sort_keys=True, default=str).encode()), rows


def read(path: Path) -> tuple[Kept | None, str]:
    """What was kept, or None with why it is not used."""
    if not path.is_file():
        return None, ""
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        if told.get("format") != FORMAT:
            was = told.get("format")
            return None, f"{path} has format {was}, this is {FORMAT}: ignored, everything runs anew"
        return Kept(**{name: told[name] for name in Kept._fields}), ""
    except (OSError, ValueError, KeyError, AttributeError, TypeError):
        return None, f"{path} is no kept result: ignored, everything runs anew"


def is_kept_or_free(path: Path) -> bool:
    """Whether a file may be written over: it is not there, empty, or was kept by this command."""
    if not path.is_file() or path.stat().st_size == 0:
        return True
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(told, dict) and told.get("kept_by") == "bathkin today"


def write(path: Path, kept: Kept, *, keep: Sequence[Path]) -> None:
    """Keeps it, written beside and moved into place."""
    told = {"kept_by": "bathkin today", "format": FORMAT, **kept._asdict()}
    files.write(path, json.dumps(told, allow_nan=False).encode(), keep=keep)


def what_changed(kept: Kept, recipe: str, rows: Sequence[str]) -> str | None:
    """Why the whole log is followed again; None where nothing changed."""
    if kept.recipe != recipe:
        return "the recipe, an option or the version changed since the kept result"
    same = [one == other for one, other in zip(kept.rows, rows, strict=False)]
    if not all(same):
        return f"row {same.index(False) + 1} changed since the kept result"
    if len(rows) != len(kept.rows):
        more = len(rows) - len(kept.rows)
        plural = "row" if abs(more) == 1 else "rows"
        return f"{abs(more)} {plural} {'more' if more > 0 else 'fewer'} than in the kept result"
    return None
