"""Work in other processes: tasks go out, answers come back, in whatever order."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent import futures
from typing import Any, NamedTuple

from bathkin.errors import RecipeError

# Tasks that are out at a time, so that a long list does not wait in memory twice.
_OUT = 256
_LOOK_EVERY_S = 0.2
# What executors raise when a worker process died under a task.
_DIED = {"BrokenProcessPool", "BrokenThreadPool", "BrokenExecutor", "KilledWorker"}
_GONE = {"CancelledError", "FutureCancelledError", "CommClosedError"}


class Workers:
    """An executor of `concurrent.futures`, or a Dask client.

    Raises:
        RecipeError: For anything else.
    """

    def __init__(self, by: str, given: Any) -> None:
        self._client = given if hasattr(given, "scatter") else None
        found = given.get_executor() if hasattr(given, "get_executor") else given
        if not callable(getattr(found, "submit", None)):
            expected = "an executor of concurrent.futures, or a Dask client"
            raise RecipeError(f"{by}: executor = {type(given).__name__}: expected {expected}")
        self._executor = found

    def shared(self, value: Any) -> Any:
        """What many tasks take, as it is handed to them: with Dask every worker gets it once."""
        if self._client is None:
            return value
        return self._client.scatter(value, broadcast=True, hash=False)

    def run(
        self,
        call: Callable[..., Any],
        tasks: Iterable[tuple[Any, ...]],
        take: Callable[[int, Any], object],
    ) -> Ended:
        """Calls with the arguments of each task; `take` gets the place of a task and its answer.

        A task whose worker died has no answer, and is counted.
        """
        waiting = enumerate(tasks)
        out: dict[futures.Future[Any], int] = {}
        lost, more = 0, True
        try:
            while more or out:
                while more and len(out) < _OUT and not lost:
                    place, task = next(waiting, (-1, None))
                    if task is None:
                        more = False
                        break
                    try:
                        out[self._executor.submit(call, *task)] = place
                    except futures.BrokenExecutor:
                        lost += 1
                if lost and not out:
                    break
                found, _ = futures.wait(out, _LOOK_EVERY_S, futures.FIRST_COMPLETED)
                for one in found:
                    place = out.pop(one)
                    try:
                        answer = one.result()
                    except (Exception, futures.CancelledError) as error:
                        if type(error).__name__ not in _DIED | _GONE:
                            raise
                        lost += 1
                        continue
                    take(place, answer)
        except KeyboardInterrupt:
            return Ended(interrupted=True, lost=lost)
        finally:
            for one in out:
                one.cancel()
        return Ended(interrupted=False, lost=lost)


class Ended(NamedTuple):
    """How work ended.

    Attributes:
        interrupted: Whether Ctrl-C ended it before it was done.
        lost: Tasks without an answer because a worker died; none was begun after the first of them.
    """

    interrupted: bool
    lost: int
