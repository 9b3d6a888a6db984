"""Runs again when a file is saved."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path

from bathkin.cli.outputs import echo
from bathkin.errors import BathkinError

_EVERY_S = 1.0

Stamps = dict[Path, tuple[int, int] | None]


def stamps(paths: Iterable[Path]) -> Stamps:
    """When each file was saved, and its size; None for one that is not there."""
    found: Stamps = {}
    for path in paths:
        try:
            told = path.stat()
            found[path] = (told.st_mtime_ns, told.st_size)
        except OSError:
            found[path] = None
    return found


def changed(before: Stamps, now: Stamps) -> list[Path]:
    """Files that were saved, came or went in between."""
    return [path for path in now if now[path] != before.get(path)]


def watched(
    once: Callable[[], object],
    read: Callable[[], Iterable[Path]],
    pause: Callable[[float], object] = time.sleep,
) -> None:
    """Runs, then again each time one of the files is saved, until Ctrl-C.

    Args:
        once: A run; its refusals are told, and end nothing.
        read: The files that it reads.
        pause: Waits so many seconds.

    Raises:
        KeyboardInterrupt: At Ctrl-C.
    """
    seen = stamps(read())
    while True:
        try:
            once()
        except (BathkinError, OSError) as error:
            echo(f"bathkin: error: {error}", err=True)
        # Files that this run read for the first time.
        seen = {**stamps(read()), **seen}
        names = ", ".join(map(str, seen))
        echo(f"{datetime.now():%H:%M:%S} watching {names}; Ctrl-C ends", err=True)
        saved, seen = _next_save(seen, pause)
        echo(f"{datetime.now():%H:%M:%S} saved: {', '.join(map(str, saved))}", err=True)


def _next_save(seen: Stamps, pause: Callable[[float], object]) -> tuple[list[Path], Stamps]:
    """Waits until a file was saved, and has settled."""
    now = seen
    while not (saved := changed(seen, now)):
        pause(_EVERY_S)
        now = stamps(seen)
    while True:
        pause(_EVERY_S)
        later = stamps(seen)
        if later == now:
            return saved, now
        now = later
