"""A progress bar for lives that take long."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def reporting(
    progress: bool | Callable[[float], object] | None, unit: str = "turnovers"
) -> Iterator[Callable[[float], object] | None]:
    """A function that takes how many are done, or None; True gives a bar after a second."""
    if progress is None or progress is False:
        yield None
    elif progress is True:
        from tqdm import tqdm

        with tqdm(unit=f" {unit}", delay=1.0, leave=False, bar_format=_BAR) as bar:

            def show(done: float) -> None:
                bar.n = round(done, 2)
                bar.refresh()

            yield show
    else:
        yield progress


_BAR = "simulating: {n:g}{unit} after {elapsed}"
