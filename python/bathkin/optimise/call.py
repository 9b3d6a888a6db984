"""The calls `bathkin.optimise` and `bathkin.trade_off`."""

from __future__ import annotations

from collections.abc import Sequence

from bathkin import _core
from bathkin.core.arguments import whole
from bathkin.core.flags import warn
from bathkin.core.numbers import shown
from bathkin.core.progress import Progress, reporting
from bathkin.core.result import made_from
from bathkin.errors import RecipeError
from bathkin.optimise.asked import Limits, Vary, asked, names
from bathkin.optimise.optimisation import Optimisation
from bathkin.optimise.trade_off import TradeOff
from bathkin.recipe.recipe import Recipe, as_recipe

POINTS, STARTS, RESTARTS = 64, 4, 2
_MOST_OF_CURVE = 1000


def optimise(
    recipe: Recipe | str,
    vary: Vary,
    *,
    least: str | None = None,
    most: str | None = None,
    limits: Limits | None = None,
    outputs: Sequence[str] = (),
    points: int = POINTS,
    starts: int = STARTS,
    restarts: int = RESTARTS,
    seed: int = 0,
    progress: Progress = None,
) -> Optimisation:
    """Best numbers of a recipe: the least of an output, or the most of it, under limits on others.

    First come points of a Sobol sequence over the whole box, then searches by COBYLA from the best
    of those that lie apart, then rounds that begin again in ever smaller windows about the best
    point. Each point is a life, or a fresh bath where nothing asks for more; the recipe's own point
    is among them where it lies in the box. The same seed gives the same bits for any number of
    threads.

    Args:
        recipe: A recipe, or the name or path of one.
        vary: For each path its bounds, (low, high), in its unit or with one:
            `{"operation.ph": (4.4, 5.2), "operation.temperature_c": ("180 degF", "200 degF")}`.
        least: An output to be as small as can be, named as of `bathkin.ensemble`:
            `dump.cost_per_m2`, `end.specific_gravity` ...
        most: An output to be as great as can be: `dump.plating_h`, `dump.area_m2` ...
        limits: For each output (at least, at most), None for a side without a limit, or a text:
            `{"end.deposition_um_h": (12, None), "dump.area_m2": ">= 60"}`. The name of a quantity
            alone is limited all along the life: `{"phosphorus_wt_pct": (7, 9)}`. The limits of the
            recipe end a life as ever.
        outputs: Further outputs that are told of the best point.
        points: Points of the first look, a power of two.
        starts: Searches from the best of them.
        restarts: Rounds after those.
        seed: Seed of the points.
        progress: True for a bar, or a function that takes the number of points done.

    Returns:
        The best point, with the margin of each limit and the scatter of the goal. Where no point
        within all limits was found, the one that is least beyond them; `feasible` is False then.
        After Ctrl-C the best until then; `complete` is False then.

    Raises:
        UnknownNameError: For a path or output nobody knows.
        RecipeError: For bounds out of order or out of those of the number, a number that is not
            continuous, limits that cannot be kept, an output that is a word; when no point at all
            can be computed.

    Warns:
        BathkinWarning: Where no point within all limits was found, for points that failed, a life
            that reached no limit, and work that was ended.

    Example:
        >>> import bathkin as bk
        >>> vary = {"operation.ph": (4.4, 5.2), "operation.temperature_c": (80, 94)}
        >>> limits = {"make_up.phosphorus_wt_pct": (9, 10)}
        >>> best = bk.optimise("nickel-acid", vary, most="make_up.deposition_um_h", limits=limits)
        >>> best.feasible, best.numbers[1].touches
        (True, 'high')
    """
    by = "optimise"
    of = as_recipe(recipe)
    aims = _aims(by, least, most)
    if len(aims) != 1:
        told = f"least = {shown(least)}, most = {shown(most)}"
        raise RecipeError(f"{by}: {told}: expected one goal; bathkin.trade_off takes two")
    given = asked(by, vary, aims, limits, outputs, (points, starts, restarts, seed))
    with reporting(progress, "points", "optimising") as report:
        found = made_from(_core.optimise(of._core, given, report), of)
    warn(found.flags)
    return found


def trade_off(
    recipe: Recipe | str,
    vary: Vary,
    *,
    least: str | Sequence[str] | None = None,
    most: str | Sequence[str] | None = None,
    limits: Limits | None = None,
    outputs: Sequence[str] = (),
    count: int = 9,
    points: int = POINTS,
    starts: int = STARTS,
    restarts: int = RESTARTS,
    seed: int = 0,
    progress: Progress = None,
) -> TradeOff:
    """What one goal costs of another: the best of the one at levels of the other.

    One goal is optimised while the other is held to a level, from the best of the first to the best
    of the second; levels halve the widest gap of the curve so far, and each search begins with all
    that was tried before.

    Args:
        recipe: A recipe, or the name or path of one.
        vary: As of `bathkin.optimise`.
        least: Outputs to be as small as can be: one beside one of `most`, or two.
        most: Outputs to be as great as can be.
        limits: As of `bathkin.optimise`.
        outputs: Further outputs that are told of each point.
        count: Points of the curve at most, from 3; equal ones are told once.
        points: As of `bathkin.optimise`.
        starts: As there.
        restarts: As there.
        seed: As there.
        progress: As there.

    Returns:
        The curve, from the best of the first goal to the best of the second; after Ctrl-C the curve
        by what was tried until then.

    Raises:
        UnknownNameError: As `bathkin.optimise`.
        RecipeError: As there, and for anything but two goals.

    Warns:
        BathkinWarning: As `bathkin.optimise`.

    Example:
        >>> import bathkin as bk
        >>> vary = {"operation.ph": (4.4, 5.2), "operation.temperature_c": (80, 94)}
        >>> goals = ["make_up.deposition_um_h", "make_up.phosphorus_wt_pct"]
        >>> curve = bk.trade_off("nickel-acid", vary, most=goals, count=5)
        >>> rate, phosphorus = (curve.table()[goal] for goal in goals)
        >>> rate.is_monotonic_decreasing, phosphorus.is_monotonic_increasing
        (True, True)
    """
    by = "trade_off"
    of = as_recipe(recipe)
    aims = _aims(by, least, most)
    if len({name for name, _ in aims}) != 2 or len(aims) != 2:
        told = f"least = {shown(least)}, most = {shown(most)}"
        raise RecipeError(f"{by}: {told}: expected two goals, each another output")
    given = asked(by, vary, aims, limits, outputs, (points, starts, restarts, seed))
    levels = whole("count", count, 3, _MOST_OF_CURVE)
    with reporting(progress, "points", "optimising") as report:
        found = made_from(_core.trade_off(of._core, given, levels, report), of)
    for end in found.ends:
        made_from(end, of)
    warn(found.flags)
    return found


def _aims(by: str, least: object, most: object) -> list[tuple[str, bool]]:
    return [
        *((name, False) for name in names(by, "least", least)),
        *((name, True) for name in names(by, "most", most)),
    ]
