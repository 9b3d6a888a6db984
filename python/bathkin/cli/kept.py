"""What the last `bathkin today` said, kept in a file of its own: safe to lose."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from bathkin.cli.outputs import echo
from bathkin.cli.told import Told
from bathkin.core import files
from bathkin.core.origin import digest_of, versions
from bathkin.recipe.recipe import Recipe
from bathkin.reports.tanks import Line
from bathkin.tables.logs import Log

FORMAT = 2
# Digits of the digest of a row.
_DIGITS = 16


class Kept(NamedTuple):
    """What a run is known by, and what it said.

    Attributes:
        recipe: Digest of the recipe, its files and the options.
        rows: Digest of each row of the log.
        told: What was said of the bath.
    """

    recipe: str
    rows: list[str]
    told: Told


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


class Keeping:
    """The file of the kept results, one for each tank.

    Attributes:
        path: The file.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._read: list[Path] = []
        self._tanks = self._there()

    def of(self, tank: str) -> Kept | None:
        """What was kept of a tank."""
        return self._tanks.get(tank)

    def put(self, tank: str, kept: Kept, read: Sequence[Path]) -> None:
        """Keeps what was said of a tank, made from the files that were read."""
        self._tanks[tank] = kept
        self._read += read

    def write(self) -> None:
        """Keeps all of it, written beside and moved into place; another's file is left alone."""
        if not self._read:
            return
        if not is_kept_or_free(self.path):
            echo(f"bathkin: {self.path} is another file: left alone, nothing is kept", err=True)
            return
        tanks = {name: one._asdict() for name, one in self._tanks.items()}
        told = {"kept_by": "bathkin today", "format": FORMAT, "tanks": tanks}
        files.write(self.path, json.dumps(told, allow_nan=False).encode(), keep=self._read)

    def _there(self) -> dict[str, Kept]:
        """What was kept; says why it is not used."""
        if not self.path.is_file():
            return {}
        try:
            told = json.loads(self.path.read_text(encoding="utf-8"))
            was = told.get("format")
            if was == FORMAT:
                return {name: _kept(one) for name, one in told["tanks"].items()}
            why = f"{self.path} has format {was}, this is {FORMAT}"
        except (OSError, ValueError, KeyError, AttributeError, TypeError):
            why = f"{self.path} is no kept result"
        echo(f"bathkin: {why}: ignored, everything runs anew", err=True)
        return {}


def _kept(told: dict[str, Any]) -> Kept:
    values, line, screen = told["told"]
    return Kept(told["recipe"], told["rows"], Told(values, Line(*line), screen))


def is_kept_or_free(path: Path) -> bool:
    """Whether a file may be written over: it is not there, empty, or was kept by this command."""
    if not path.is_file() or path.stat().st_size == 0:
        return True
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(told, dict) and told.get("kept_by") == "bathkin today"


def what_changed(kept: Kept, recipe: str, rows: Sequence[str]) -> str:
    """Why the whole log is followed again; empty where nothing changed."""
    if kept.recipe != recipe:
        return "the recipe, an option or the version changed since the kept result"
    same = [one == other for one, other in zip(kept.rows, rows, strict=False)]
    if not all(same):
        return f"row {same.index(False) + 1} changed since the kept result"
    if len(rows) != len(kept.rows):
        more = len(rows) - len(kept.rows)
        plural = "row" if abs(more) == 1 else "rows"
        return f"{abs(more)} {plural} {'more' if more > 0 else 'fewer'} than in the kept result"
    return ""
