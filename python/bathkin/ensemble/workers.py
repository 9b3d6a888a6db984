"""An ensemble by other processes: parts go out, columns come back, in whatever order."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from concurrent import futures
from typing import TYPE_CHECKING, Any

from bathkin.errors import BathkinWarning, RecipeError

if TYPE_CHECKING:
    from bathkin import _core

_LEAST, _MOST = 16, 4096
# Parts that are out at a time, so that a long table does not wait in memory twice.
_OUT = 256
_LOOK_EVERY_S = 0.2
# What executors raise when a worker process died under a part.
_DIED = {"BrokenProcessPool", "BrokenThreadPool", "BrokenExecutor", "KilledWorker"}
_GONE = {"CancelledError", "FutureCancelledError", "CommClosedError"}


def compute(part: _core.Ensemble) -> bytes:
    """What a worker does: one part, in one thread."""
    return part.compute()


def as_executor(given: Any) -> Any:
    """An executor of `concurrent.futures`, or that of a Dask client.

    Raises:
        RecipeError: For anything else.
    """
    found = given.get_executor() if hasattr(given, "get_executor") else given
    if not callable(getattr(found, "submit", None)):
        expected = "an executor of concurrent.futures, or a Dask client"
        raise RecipeError(f"ensemble: executor = {type(given).__name__}: expected {expected}")
    return found


def run(core: _core.Ensemble, executor: Any, report: Callable[[float], object] | None) -> bool:
    """Computes what is missing by an executor; False when Ctrl-C ended it before.

    A part whose worker died is computed here instead.
    """
    from_member, to_member, _, _ = core.state()
    total = to_member - from_member
    # Enough parts that no worker waits long for the last one; whole chunks of the core.
    most = min(max(total // 64 // _LEAST * _LEAST, _LEAST), _MOST)
    waiting = core.parts(most)[::-1]
    done = total - sum(to - start for start, to in waiting)
    out: dict[futures.Future[bytes], tuple[_core.Ensemble, int]] = {}
    lost = 0
    try:
        while waiting or out:
            while waiting and len(out) < _OUT and not lost:
                start, to = waiting.pop()
                part = core.part(start, to)
                try:
                    out[executor.submit(compute, part)] = (part, to - start)
                except futures.BrokenExecutor:
                    waiting.append((start, to))
                    lost += 1
            if lost and not out:
                break
            found, _ = futures.wait(out, _LOOK_EVERY_S, futures.FIRST_COMPLETED)
            for one in found:
                part, count = out.pop(one)
                try:
                    core.take(part, one.result())
                except (Exception, futures.CancelledError) as error:
                    if type(error).__name__ not in _DIED | _GONE:
                        raise
                    lost += 1
                    continue
                done += count
            if report is not None:
                report(done)
    except KeyboardInterrupt:
        return False
    finally:
        for one in out:
            one.cancel()
    if not lost:
        return True
    told = f"a worker died: the {total - done} members that were left are computed in this process"
    warnings.warn(told, BathkinWarning, stacklevel=4)
    return core.run(report)
