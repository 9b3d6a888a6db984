"""The call `bathkin.fit_many`."""

from __future__ import annotations

import os
import warnings
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from bathkin import _core
from bathkin.core.arguments import named
from bathkin.core.flags import warn
from bathkin.core.numbers import is_one, shown
from bathkin.core.progress import Progress, reporting
from bathkin.core.result import made_from
from bathkin.core.workers import Workers
from bathkin.errors import BathkinError, BathkinWarning, DataError
from bathkin.fit import results
from bathkin.fit.call import RATE
from bathkin.fit.data import Given, given, sheets_of
from bathkin.fit.fit import Fit
from bathkin.fit.fleet import Fleet
from bathkin.fit.options import FitOptions, fit_options
from bathkin.fit.record import FitInput
from bathkin.recipe.recipe import Recipe, as_recipe

# What a task hands back: what was found, or what was raised.
Answer = tuple[results.Fit | None, BathkinError | None]
_EXPECTED = "(recipe, data), or (recipe, data, free), or with a dictionary of arguments of fit"


class _Tank(NamedTuple):
    """A tank that could be read."""

    name: str
    of: FitInput


def fit_many(
    tanks: Mapping[str, Sequence[Any]] | Iterable[Sequence[Any]],
    free: Iterable[str] = RATE,
    *,
    executor: Any = None,
    progress: Progress = None,
    **options: Any,
) -> Fleet:
    """The same fit for each of many tanks.

    Tanks are fitted side by side, in threads or by an executor, each to the bits of `bathkin.fit`
    alone. One that cannot be read or fitted is kept with its reason and stops no other.

    Args:
        tanks: (recipe, data) by the name of the tank, or a list of them, which are named after
            their data. A recipe and data are what `bathkin.fit` takes. A third entry has what this
            tank alone needs: paths of its numbers, or a dictionary of arguments of `bathkin.fit`,
            `{"free": [...], "priors": {...}}`.
        free: Paths of the numbers of all others.
        executor: Fits in other processes: an executor of `concurrent.futures`, or a Dask client,
            whose workers get a recipe that several tanks share once.
        progress: True for a bar, or a function that takes the number of tanks done.
        options: Any further argument of `bathkin.fit`, for every tank.

    Returns:
        The fits, with a table of a row per tank. After Ctrl-C those that were done; `complete` is
        False then.

    Raises:
        DataError: For no tanks, two of one name, and arguments that no fit takes.

    Warns:
        BathkinWarning: For tanks that failed or whose data the model misses, and for work that was
            ended.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> def runs(factor):  # invented
        ...     rates = [8.1, 11.3, 14.6, 19.9, 25.2]
        ...     return pd.DataFrame({"temperature_c": [75, 80, 85, 90, 95],
        ...                          "deposition_um_h": [factor * rate for rate in rates]})
        >>> tanks = {"north": ("nickel-acid", runs(1.0)), "south": ("nickel-acid", runs(1.2))}
        >>> energy = "deposition.activation_energy_kj_mol"
        >>> found = bk.fit_many(tanks, ["deposition.rate_mol_m2_s", energy])
        >>> found.table()["status"].tolist()
        ['fitted', 'fitted']
        >>> abs(found["north"][energy].value - found["south"][energy].value) < 0.01
        True
    """
    # What no tank can do with is refused before any is read.
    every = _options({"free": free, **options})
    every.checked([])
    pool = None if executor is None else Workers("fit_many", executor)
    asked = _named(tanks)
    failed: dict[str, Exception] = {}
    read: list[_Tank] = []
    recipes: dict[str, Recipe] = {}
    for name, tank in asked.items():
        try:
            read.append(_Tank(name, _read(name, tank, {"free": free, **options}, recipes)))
        except (BathkinError, OSError) as error:
            failed[name] = error
    with reporting(progress, "tanks", "fitting", total=len(read)) as report:
        answers = _fitted(read, pool, report)
    fits: dict[str, Fit] = {}
    for tank, (found, raised) in zip(read, answers, strict=True):
        if found is not None:
            fits[tank.name] = made_from(found, tank.of)  # type: ignore[assignment]
        elif raised is not None:
            failed[tank.name] = raised
    order = list(asked)
    fleet = Fleet(order, fits, {name: failed[name] for name in order if name in failed})
    warn(fleet.flags)
    return fleet


def fit_one(recipe: _core.Recipe, data: list[Given], options: FitOptions) -> Answer:
    """What a worker does: one tank."""
    fits, errors, _ = _core.fit_many([(recipe, data, options)])
    return fits[0], errors[0]


def _fitted(tanks: list[_Tank], pool: Workers | None, report: Any) -> list[Answer]:
    """What each tank came to; two Nones where it was not reached."""
    answers: list[Answer] = [(None, None)] * len(tanks)
    left = list(range(len(tanks)))
    if pool is not None:
        left = _by_workers(tanks, pool, answers, report)
    done = len(tanks) - len(left)
    if left:

        def more(count: float) -> None:
            report(done + count)

        tasks = [_task(tanks[place].of, tanks[place].of.recipe._core) for place in left]
        found = _core.fit_many(tasks, None if report is None else more)
        for place, fit, raised in zip(left, found[0], found[1], strict=True):
            answers[place] = (fit, raised)
    return answers


def _by_workers(tanks: list[_Tank], pool: Workers, answers: list[Answer], report: Any) -> list[int]:
    """Fills in what workers found; places of the tanks that a worker died under."""
    often: dict[int, int] = {}
    for tank in tanks:
        often[id(tank.of.recipe)] = often.get(id(tank.of.recipe), 0) + 1
    sent: dict[int, Any] = {}

    def core_of(of: FitInput) -> Any:
        key = id(of.recipe)
        if key not in sent:
            core = of.recipe._core
            sent[key] = pool.shared(core) if often[key] > 1 else core
        return sent[key]

    done: set[int] = set()

    def take(place: int, answer: Answer) -> None:
        answers[place] = answer
        done.add(place)
        if report is not None:
            report(len(done))

    ended = pool.run(fit_one, (_task(tank.of, core_of(tank.of)) for tank in tanks), take)
    left = [place for place in range(len(tanks)) if place not in done]
    if ended.interrupted or not ended.lost:
        return []
    told = f"a worker died: the {len(left)} tanks that were left are fitted in this process"
    warnings.warn(BathkinWarning(told, "executor"), stacklevel=4)
    return left


def _task(of: FitInput, recipe: Any) -> tuple[Any, list[Given], FitOptions]:
    return recipe, given(of.data), of.options


def _named(tanks: Any) -> dict[str, Sequence[Any]]:
    """Tanks by name.

    Raises:
        DataError: For none, for what is no tank, and for two of one name.
    """
    if isinstance(tanks, Mapping):
        found = dict(named("tanks", tanks, f"for each name {_EXPECTED}"))
    elif is_one(tanks) or hasattr(tanks, "columns"):
        raise DataError(f"fit_many: tanks = {shown(tanks)}: expected for each {_EXPECTED}")
    else:
        listed = list(tanks)
        found = dict(zip(_names(listed), listed, strict=True))
    if not found:
        raise DataError("fit_many: no tanks: expected at least one")
    for name, tank in found.items():
        if is_one(tank) or not isinstance(tank, Sequence) or len(tank) not in (2, 3):
            raise DataError(f"fit_many: {name} = {shown(tank)}: expected {_EXPECTED}")
    return found


def _names(tanks: list[Any]) -> list[str]:
    """Names of tanks: the stem of the file of their first data, its path where need be.

    Raises:
        DataError: For two of one name.
    """
    files = [_file_of(tank) or str(place + 1) for place, tank in enumerate(tanks)]
    stems = [Path(file).stem for file in files]
    often = Counter(stems)
    found = [stem if often[stem] == 1 else file for stem, file in zip(stems, files, strict=True)]
    name, count = Counter(found).most_common(1)[0] if found else ("", 0)
    if count > 1:
        told = f"{count} tanks are called {name}: expected a dictionary of tanks by name"
        raise DataError(f"fit_many: {told}")
    return found


def _file_of(tank: Any) -> str | None:
    """The file of the first data of a tank; none of a table."""
    data = tank[1] if isinstance(tank, Sequence) and not is_one(tank) and len(tank) > 1 else None
    first = data[0] if isinstance(data, (list, tuple)) and data else data
    file = getattr(first, "file", first)
    if not isinstance(file, (str, os.PathLike)) or file == "table":
        return None
    return os.fspath(file)


def _read(
    name: str, tank: Sequence[Any], options: dict[str, Any], recipes: dict[str, Recipe]
) -> FitInput:
    """What a tank is fitted from; a recipe that is named by several is read once."""
    of, data = tank[0], tank[1]
    own = tank[2] if len(tank) == 3 else {}
    if not isinstance(own, Mapping):
        own = {"free": own}
    if isinstance(of, (str, os.PathLike)):
        path = os.fspath(of)
        if path not in recipes:
            recipes[path] = as_recipe(path)
        of = recipes[path]
    sheets = sheets_of(data)
    try:
        chosen = _options({**options, **own})
    except DataError as error:
        raise DataError(f"{name}: {error}") from error
    return FitInput(as_recipe(of), sheets, chosen.checked(sheets))


def _options(given: Mapping[str, Any]) -> FitOptions:
    """Options from arguments of `bathkin.fit`.

    Raises:
        DataError: For an argument that it does not take.
    """
    known = [*FitOptions.__dataclass_fields__]
    unknown = next((name for name in given if name not in known), None)
    if unknown is not None:
        raise DataError(
            f"fit_many: {shown(unknown)}: expected arguments of fit: {', '.join(known)}"
        )
    groups = ("free", "start", "bounds", "ties", "per", "errors", "priors")
    plain = {name: one for name, one in given.items() if name not in groups}
    return fit_options(*(given.get(name) for name in groups), **plain)  # type: ignore[arg-type]
