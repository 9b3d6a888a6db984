"""One run of `bathkin today`, or what is left of it where nothing changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from bathkin.cli.kept import Keeping, Kept, known_by, what_changed
from bathkin.cli.outputs import echo
from bathkin.cli.tanks import Tank, recipe_and_log
from bathkin.cli.told import told_of
from bathkin.recipe.recipe import Recipe, recipes
from bathkin.reports.inputs import ASKED
from bathkin.tables.logs import Log
from bathkin.tracking.track import as_log, track


class Asking:
    """What is asked of every tank.

    Attributes:
        settings: Changes of the recipe, as given.
        logs: The logs that were given.
        options: Further arguments of `bathkin.track`.
        progress: Whether a bar is shown.
        shift_h: Length of the next shift, h.
        several: Whether there are several.
    """

    def __init__(
        self,
        settings: Sequence[str],
        logs: Sequence[Path],
        options: Mapping[str, Any],
        progress: bool,
        shift_h: float,
        several: bool,
    ) -> None:
        self.settings = settings
        self.logs = list(logs)
        self.options = dict(options)
        self.progress = progress
        self.shift_h = shift_h
        self.several = several
        self._files: dict[Path, None] = {}

    def tell(self, name: str, kept: Keeping | None, *, anew: bool) -> Tank:
        """A tank: followed, or as it was kept where nothing changed since and no page is wanted."""
        of, log = self._read(name)
        asked = ASKED.get()
        if asked is not None and not self.several:
            asked.options["more"] = log.files
        if kept is None:
            return self._followed(name, of, log)
        said = f"bathkin: {name}: " if self.several else "bathkin: "
        key = str(Path(name).resolve()) if Path(name).is_file() else name
        digest, rows = known_by(of, log, {**self.options, "shift_h": self.shift_h})
        before = kept.of(key)
        why = "" if before is None else what_changed(before, digest, rows)
        if before is not None and not why and not anew:
            echo(f"{said}nothing changed since the kept result", err=True)
            return Tank(name, of, before.told)
        if why:
            echo(f"{said}{why}: the whole log is followed", err=True)
        tank = self._followed(name, of, log)
        if tank.told is not None:
            kept.put(key, Kept(digest, rows, tank.told), [*of.files(), *map(Path, log.files)])
        return tank

    def files(self) -> list[Path]:
        """Every file that was read so far."""
        return list(self._files)

    def _read(self, name: str) -> tuple[Recipe, Log]:
        if name not in recipes():
            # To be watched even while it cannot be read.
            self._files[Path(name)] = None
        of, files = recipe_and_log(name, self.settings, self.logs)
        self._files.update(dict.fromkeys([*of.files(), *files]))
        return of, as_log(files, of)

    def _followed(self, name: str, of: Recipe, log: Log) -> Tank:
        found = track(of, log, progress=self.progress, **self.options)
        plan = found.plan(self.shift_h)
        return Tank(name, of, told_of(found, plan), (found, plan))
