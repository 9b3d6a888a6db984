"""One run of `bathkin today`, or what is left of it where nothing changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from bathkin.cli import kept as kept_result
from bathkin.cli.options import print_json, print_result
from bathkin.cli.outputs import echo
from bathkin.cli.tanks import Tank, exit_code, recipe_and_log
from bathkin.cli.today_output import document_of, screen
from bathkin.core.flags import Flag
from bathkin.life.plan import Plan
from bathkin.recipe.recipe import Recipe, recipes
from bathkin.reports.inputs import ASKED
from bathkin.tables.logs import Log, read_log
from bathkin.tracking.track import Track, track


class Asking:
    """What is asked of every tank.

    Attributes:
        settings: Changes of the recipe, as given.
        log: The log that was given.
        options: Further arguments of `bathkin.track`.
        progress: Whether a bar is shown.
        shift_h: Length of the next shift, h.
    """

    def __init__(
        self,
        settings: Sequence[str],
        log: Path | None,
        options: Mapping[str, Any],
        progress: bool,
        shift_h: float,
    ) -> None:
        self.settings = settings
        self.log = log
        self.options = dict(options)
        self.progress = progress
        self.shift_h = shift_h
        self._files: dict[Path, None] = {}

    def follow(self, name: str) -> tuple[Track, Plan]:
        """A tank."""
        return self._followed(*self._read(name))

    def kept(
        self,
        name: str,
        path: Path | None,
        drawn: Mapping[str, int],
        *,
        as_json: bool,
        quiet: bool,
        anew: bool,
    ) -> Tank | int:
        """A single tank, to be kept; or the exit code of what was kept and shown."""
        of, log = self._read(name)
        asked = ASKED.get()
        if asked is not None:
            asked.options["more"] = [log.file]
        if path is None:
            return Tank(name, *self._followed(of, log))
        digest, rows = kept_result.known_by(of, log, {**self.options, "shift_h": self.shift_h})
        before, why = kept_result.read(path)
        if before is not None:
            why = kept_result.what_changed(before, digest, rows) or ""
            if not why and not anew:
                echo("bathkin: nothing changed since the kept result", err=True)
                _show(before, of, as_json, quiet)
                return before.code
        if why:
            echo(f"bathkin: {why}: the whole log is followed", err=True)
        tank = Tank(name, *self._followed(of, log))
        if tank.track is not None and tank.plan is not None:
            told = document_of(tank.track, tank.plan, drawn)
            text = screen(tank.track, tank.plan)
            result = kept_result.Kept(digest, rows, told, text, exit_code([tank]))
            if kept_result.is_kept_or_free(path):
                kept_result.write(path, result, keep=[*of.files(), Path(log.file)])
            else:
                echo(f"bathkin: {path} is another file: left alone, nothing is kept", err=True)
        return tank

    def files(self) -> list[Path]:
        """Every file that was read so far."""
        return list(self._files)

    def _read(self, name: str) -> tuple[Recipe, Log]:
        if name not in recipes():
            # To be watched even while it cannot be read.
            self._files[Path(name)] = None
        of, file = recipe_and_log(name, self.settings, self.log)
        self._files.update(dict.fromkeys([*of.files(), file]))
        return of, read_log(file, of)

    def _followed(self, of: Recipe, log: Log) -> tuple[Track, Plan]:
        found = track(of, log, progress=self.progress, **self.options)
        return found, found.plan(self.shift_h)


def _show(before: kept_result.Kept, of: Recipe, as_json: bool, quiet: bool) -> None:
    if as_json:
        print_json(before.document)
    else:
        flags = [Flag(one["where"], one["what"]) for one in before.document["flags"]]
        print_result(before.screen, of, flags, quiet)
