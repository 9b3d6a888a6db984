"""An ensemble by other processes: parts go out, columns come back."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from bathkin.core.workers import Workers
from bathkin.errors import BathkinWarning

if TYPE_CHECKING:
    from bathkin import _core

_LEAST, _MOST = 16, 4096


def compute(whole: _core.Ensemble, rows: Any, start: int, to: int) -> bytes:
    """What a worker does: one part, in one thread; of a table from its rows."""
    if rows is not None:
        kind, columns, *more = rows
        # Arrays that Dask hands over may lie at odd addresses.
        rows = (kind, [np.array(column) for column in columns], *more)
    return whole.compute(rows, start, to)


def run(core: _core.Ensemble, workers: Workers, report: Callable[[float], object] | None) -> bool:
    """Computes what is missing by an executor; False when Ctrl-C ended it before.

    A part whose worker died is computed here instead.
    """
    from_member, to_member, _, _ = core.state()
    total = to_member - from_member
    # Enough parts that no worker waits long for the last one; whole chunks of the core.
    most = min(max(total // 64 // _LEAST * _LEAST, _LEAST), _MOST)
    parts = core.parts(most)
    done = total - sum(to - start for start, to in parts)

    def take(place: int, computed: bytes) -> None:
        nonlocal done
        start, to = parts[place]
        core.take(core.rows(start, to), computed)
        done += to - start
        if report is not None:
            report(done)

    whole = workers.shared(core.without_members()) if parts else None
    tasks = ((whole, core.rows(start, to), start, to) for start, to in parts)
    ended = workers.run(compute, tasks, take)
    if ended.interrupted:
        return False
    if not ended.lost:
        return True
    told = f"a worker died: the {total - done} members that were left are computed in this process"
    warnings.warn(BathkinWarning(told, "executor"), stacklevel=4)
    return core.run(report)
