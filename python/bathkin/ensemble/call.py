"""The call `bathkin.ensemble`."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Any

from bathkin import _core
from bathkin.core.arguments import whole, word
from bathkin.core.flags import Flag, warn
from bathkin.core.numbers import is_one, shown
from bathkin.core.progress import Progress, reporting
from bathkin.core.workers import Workers
from bathkin.ensemble import parts
from bathkin.ensemble.draws import Asked, Draws, read_draws
from bathkin.ensemble.ensemble import Ensemble
from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe, as_recipe

OUTPUTS = ("dump.plating_h", "dump.turnovers", "dump.area_m2", "dump.limit")
KEEP = ("members", "summary")
# Numbers (members times outputs) that are kept unless asked otherwise: 40 MB.
_MOST_KEPT = 5_000_000

Paths = str | os.PathLike[str]


def ensemble(
    recipe: Recipe | str,
    draws: Draws,
    outputs: Sequence[str] = OUTPUTS,
    *,
    members: int | None = None,
    sampling: str = "random",
    seed: int = 0,
    part: tuple[int, int] | None = None,
    keep: str | None = None,
    checkpoint: Paths | Sequence[Paths] | None = None,
    executor: Any = None,
    progress: Progress = None,
) -> Ensemble:
    """Many members of one recipe: its fresh bath and its life at many values of its numbers.

    The values of member m, and all that follows from them, depend on m and the seed alone: threads,
    processes, machines and the order of work change no bit.

    Args:
        recipe: A recipe, or the name or path of one.
        draws: What varies, by path.

            - Distributions, texts or tuples: `{"operation.ph": "normal(4.8, 0.05)"}`. There are
              `normal(mean, sd)`, `lognormal(median, sd of the logarithm)`, `uniform(low, high)`,
              `loguniform(low, high)`, `triangular(low, mode, high)`, and `prior(mean, sd)`: normal,
              or lognormal where a fit would move the number by its logarithm; `"prior"` alone is
              the range or the fitted value of the recipe. Values may have units:
              `"uniform(185 degF, 192 degF)"`.
            - Lists of values: every combination, the last path fastest.
            - A table, a row for each member: a DataFrame, or the path of a CSV file or workbook,
              whose columns are paths.
        outputs: What is asked of each member: `make_up.QUANTITY`, `turnover_3.QUANTITY` (after 3
            turnovers), `end.QUANTITY` with a column of a life's table (`metal_g_l`,
            `deposition_um_h` ...); `dump.clock_h`, `dump.plating_h`, `dump.turnovers`,
            `dump.turnovers_plated`, `dump.area_m2`, `dump.limit`; with prices `dump.cost`,
            `dump.cost_per_um_dm2`, `dump.cost_per_m2`, `dump.cost_per_turnover`. No life is
            computed where nothing asks for one.
        members: How many are drawn: 1,000, or 1,024 points of a Sobol sequence.
        sampling: "random", or "sobol": the points of a scrambled Sobol sequence, which fill the
            space evenly, so that means and quantiles settle sooner; a power of two of them.
        seed: Seed of the draws.
        part: Members (from, to) of all of them to compute, for work that is split by hand.
        keep: "members" keeps every value, "summary" the statistics, quantiles and histograms of
            each output alone; by itself every value up to five million of them.
        checkpoint: File that is told of each 16 members as they are done. Where it is there already
            the members in it are not computed again; that is how a killed run goes on. Of several
            files the first one is written, and the others (of other parts) are read.
        executor: Computes parts in other processes: an executor of `concurrent.futures`, or a Dask
            client, whose workers get the recipe once. Each part runs in one thread, so have a
            worker per core.
        progress: True for a bar, or a function that takes the number of members done.

    Returns:
        The ensemble. After Ctrl-C that of the members that were done, up to the first gap;
        `complete` is False then.

    Raises:
        UnknownNameError: For a path or output nobody knows.
        RecipeError: For a value of a table or grid out of bounds, with its member; a distribution
            that is none or begins out of bounds; a path or output named twice; a number of Sobol
            points that is no power of two; a checkpoint of something else, with what differs.
        OSError: When the checkpoint cannot be read or written.

    Warns:
        BathkinWarning: For members that failed, lives that reached no limit, damaged records of a
            checkpoint, and work that was ended.

    Example:
        >>> import bathkin as bk
        >>> draws = {"operation.ph": "normal(4.8, 0.05)"}
        >>> found = bk.ensemble("nickel-acid", draws, ["make_up.deposition_um_h"], members=64)
        >>> found.table().shape
        (64, 2)
        >>> bool(15 < found.quantiles()["p50"].iloc[0] < 18)
        True
    """
    of = as_recipe(recipe)
    asked = read_draws(draws, members, sampling)
    names = outputs_asked(outputs)
    some = None if part is None else _part(part)
    kept = _keeps(keep, (some[1] - some[0] if some else asked.members) * len(names))
    found = computed(of, asked, names, seed, some, kept, checkpoint, executor, progress)
    warn(found.flags)
    return found


def computed(
    recipe: Recipe,
    asked: Asked,
    outputs: list[str],
    seed: int,
    part: tuple[int, int] | None,
    keep: bool,
    checkpoint: Paths | Sequence[Paths] | None,
    executor: Any,
    progress: Progress,
) -> Ensemble:
    """The ensemble, as far as Ctrl-C lets it come."""
    pool = None if executor is None else Workers("ensemble", executor)
    seed = whole("seed", seed)
    core = _core.Ensemble(recipe._core, asked.paths, asked.of, outputs, seed, part, keep)
    flags = _resume(core, checkpoint)
    start, to, _, _ = core.state()
    with reporting(progress, "members", "computing", total=to - start) as report:
        complete = core.run(report) if pool is None else parts.run(core, pool, report)
    return Ensemble(recipe, core, asked.of[0], complete, flags)


def outputs_asked(outputs: Sequence[str]) -> list[str]:
    """Names of outputs.

    Raises:
        RecipeError: For anything but a list of texts.
    """
    if is_one(outputs) or not all(isinstance(name, str) for name in outputs):
        expected = 'expected a list of names such as ["dump.turnovers"]'
        raise RecipeError(f"ensemble: outputs = {shown(outputs)}: {expected}")
    return list(outputs)


def _part(part: object) -> tuple[int, int]:
    if not isinstance(part, (tuple, list)) or len(part) != 2:
        expected = "expected the first member and the one behind the last, such as (0, 1000)"
        raise RecipeError(f"ensemble: part = {shown(part)}: {expected}")
    return whole("part: from", part[0]), whole("part: to", part[1])


def _keeps(keep: str | None, numbers: int) -> bool:
    if keep is None:
        return numbers <= _MOST_KEPT
    return word("keep", keep, KEEP) == "members"


def _resume(core: _core.Ensemble, checkpoint: Paths | Sequence[Paths] | None) -> list[Flag]:
    """Opens the checkpoint, and says what was wrong with it."""
    if checkpoint is None:
        return []
    one = isinstance(checkpoint, (str, os.PathLike))
    paths = [checkpoint] if one else list(checkpoint)  # type: ignore[arg-type]
    flags = []
    for at, path in enumerate(paths):
        name = os.fspath(path)  # type: ignore[arg-type]
        _, damaged, cut = core.write_to(name) if at == 0 else core.read_from(name)
        told = []
        if damaged:
            told.append(f"{damaged} damaged records were computed again")
        if cut:
            told.append(f"the last record was half written ({cut} bytes) and was computed again")
        flags += [Flag("ensemble.checkpoint", f"{name}: {what}") for what in told]
    return flags
