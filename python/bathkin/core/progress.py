"""A progress bar for work that takes long."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeAlias

from bathkin.core.numbers import shown
from bathkin.errors import DataError

Progress: TypeAlias = bool | Callable[[float], object] | None


# Long work says here when it begins, and when it is done.
LOG = logging.getLogger("bathkin")
LOG.addHandler(logging.NullHandler())
LONG_S = 1.0


@contextmanager
def reporting(
    progress: Progress,
    unit: str = "turnovers",
    doing: str = "simulating",
    total: int | None = None,
) -> Iterator[Callable[[float], object] | None]:
    """A function that takes how many are done, or None; True gives a bar after a second.

    With a `total` the bar says what is left, too. The logger `bathkin` has what begins (DEBUG),
    what took longer than a second (INFO), and what ended before it was done (WARNING).
    """
    what = f"{doing} {unit}" if total is None else f"{doing} {total} {unit}"
    began = time.monotonic()
    LOG.debug("%s", what)
    try:
        with _shown(progress, unit, doing, total) as report:
            yield report
    except BaseException as error:
        spent = time.monotonic() - began
        LOG.warning("%s: ended after %.1f s by %s", what, spent, type(error).__name__)
        raise
    spent = time.monotonic() - began
    LOG.log(
        logging.INFO if spent >= LONG_S else logging.DEBUG, "%s: done after %.1f s", what, spent
    )


@contextmanager
def _shown(
    progress: Progress, unit: str, doing: str, total: int | None
) -> Iterator[Callable[[float], object] | None]:
    if progress is None or progress is False:
        yield None
    elif progress is not True and not callable(progress):
        raise DataError(f"progress = {shown(progress)}: expected True, False or a function")
    elif progress is True:
        from tqdm import tqdm

        bar_format = f"{doing}: {_BAR if total is None else _BAR_TO_END}"
        made = tqdm(total=total, unit=f" {unit}", delay=1.0, leave=False, bar_format=bar_format)
        with made as bar:

            def show(done: float) -> None:
                bar.n = round(done, 2)
                bar.refresh()

            yield show
    else:
        yield progress


_BAR = "{n:g}{unit} after {elapsed}"
_BAR_TO_END = "{n:g} of {total:g}{unit} after {elapsed}, {remaining} left"
