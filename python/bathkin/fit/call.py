"""The calls `bathkin.fit` and `bathkin.forecast`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from bathkin.core.progress import Progress
from bathkin.fit.data import Readable, sheets_of
from bathkin.fit.fit import Fit, fitted
from bathkin.fit.forecast import Forecast
from bathkin.fit.options import Bounds, Errors, Group, Priors, Starts, Ties, fit_options
from bathkin.recipe.recipe import Recipe, as_recipe

# The number that most baths differ in.
RATE = ("deposition.rate_mol_m2_s",)


def fit(
    recipe: Recipe | str,
    data: Readable | Iterable[Readable],
    free: Iterable[str],
    bounds: Bounds | None = None,
    error_model: str = "relative",
    *,
    absolute_sigma: float | None = None,
    relative_sigma: float | None = None,
    sigma: str = "estimated",
    ties: Ties | None = None,
    per: Mapping[str, str] | None = None,
    group: Group | None = None,
    errors: Errors | None = None,
    priors: Priors | None = None,
    start: Starts | None = None,
    log_start: str = "measured",
    loss: str = "linear",
    loss_scale: float = 1.0,
    starts: int = 0,
    seed: int = 1,
) -> Fit:
    """Fits numbers of a recipe to runs and logs by least squares, from the recipe's own values.

    A run with area and time is predicted as `Bath.plate` does: the bath of `tank.volume_l` is left
    alone with the coupon. Without an area it is rate x time. A log is followed row by row: what
    plated since the row before, then the readings, then what was added; nothing else enters the
    bath. What it held at the first row is fitted too, as measured with errors.

    Args:
        recipe: The recipe, or the name or path of one; all that is not free stays.
        data: Runs (or a path or table, which `read_runs` reads), logs from `read_log`, or a list.
        free: Paths of numbers.
        bounds: (low, high) by path, None for no bound.
        error_model: Of what was measured on coupons: `relative` (of the logarithm), `absolute`, or
            `mixed`. A remark says where it matters.
        absolute_sigma: Its standard deviation in the unit of the data.
        relative_sigma: Its relative standard deviation, 0.05 for 5 %.
        sigma: `estimated`, only the ratios of the standard deviations count, and the error variance
            of each column is estimated from its residuals; or `known`, they are absolute. Standard
            errors take the variances as known; intervals are wider where few residuals estimate
            them.
        ties: Path to the free path it follows, in the ratio of the recipe, or to (path, factor).
        per: Free path to a column: it has a value of its own for each label there. `run` stands
            for each row, `data` for each sheet.
        group: Column of labels that tells which runs belong together (`"batch"`), or two of which
            one lies within the other (`["day", "beaker"]`). Runs of one group are off to the same
            side by a random effect: how far groups differ is estimated (REML), and intervals allow
            for it and for how few groups there are. Of runs alone, without priors, from three
            groups on; see `random_effects` of the fit.
        errors: Column to ("relative", 0.02), ("absolute", size) or ("mixed", size, relative).
            Without: 0.05 pH, 0.3 wt%, 0.005 of specific gravity; else 2 % and 1 % of the largest.
        priors: Path to (mean, standard deviation), lognormal for rates and other positive numbers;
            or to "recipe", which has the range of the number, or what an earlier fit found.
        start: Where the search starts, by path, in place of the recipe's number.
        log_start: `measured`, or `made-up`: baths of logs start exactly as the recipe makes them
            up.
        loss: `linear`; `huber`, `soft_l1` or `cauchy` take outliers lightly.
        loss_scale: From how many standard deviations on.
        starts: Look for a lower minimum from so many further starts about the recipe's numbers; a
            remark says what they found.
        seed: Of these starts; the same seed gives the same ones.

    Raises:
        DataError: For data that cannot be used, with file, row, column and raw text.
        UnknownNameError: For a path or column the recipe does not know.
        ConvergenceError: When the search ends without a minimum, or a bath runs dry on its log.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> runs = pd.DataFrame({"temperature_c": [75, 80, 85, 90, 95],
        ...                      "deposition_um_h": [8.1, 11.3, 14.6, 19.9, 25.2]})
        >>> free = ["deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"]
        >>> found = bk.fit(bk.load_recipe("nickel-acid"), runs, free)
        >>> 55 < found.estimates[1].value < 65
        True
        >>> found.recipe().get("deposition.activation_energy_kj_mol") == found.estimates[1].value
        True
        >>> runs = pd.DataFrame({  # invented: batch b plates faster, d slower
        ...     "batch": ["a", "a", "b", "b", "c", "c", "d", "d"],
        ...     "temperature_c": [80, 90, 80, 90, 82, 88, 82, 88],
        ...     "deposition_um_h": [11.2, 19.7, 12.1, 21.6, 12.6, 17.9, 11.4, 16.3],
        ... })
        >>> of_batches = bk.fit("nickel-acid", runs, free, group="batch")
        >>> effects = of_batches.random_effects
        >>> [one.name for one in effects.components], effects.groups.group[1]
        (['batch', 'within'], 'b')
        >>> bool(effects.groups.effect[1] > 0 > effects.groups.effect[3])
        True
    """
    options = fit_options(
        free,
        start,
        bounds,
        ties,
        per,
        errors,
        priors,
        group=group,
        error_model=error_model,
        absolute_sigma=absolute_sigma,
        relative_sigma=relative_sigma,
        sigma=sigma,
        log_start=log_start,
        loss=loss,
        loss_scale=loss_scale,
        starts=starts,
        seed=seed,
    )
    return fitted(as_recipe(recipe), sheets_of(data), options)


def forecast(
    recipe: Recipe | str,
    data: Readable | Iterable[Readable],
    free: Iterable[str] = RATE,
    *,
    count: int = 200,
    seed: int = 1,
    made_up: date | str | None = None,
    progress: Progress = None,
    despite_misfit: bool = False,
    **options: Any,
) -> Forecast:
    """Fits a log and simulates the life of the bath for samples of the fitted numbers.

    The spread is the uncertainty of the fitted numbers alone: work, solutions and limits are those
    of the recipe, and every simulated bath starts from a fresh make-up.

    Args:
        recipe: The bath: a recipe, or the name or path of one.
        data: A log from `read_log`, runs, or a list of both.
        free: Paths of numbers to fit.
        count: Lives.
        seed: The same seed gives the same answer.
        made_up: When the bath was made up, for the date of the dump; without it the first row of
            the only log, where that has timestamps.
        progress: True for a bar, or a function that is called with the lives done.
        despite_misfit: Forecast though the model misses the data (`Fit.misfit`).
        options: Any further argument of `bathkin.fit`.

    Raises:
        DataError: As `bathkin.fit`; for a fit that misses its data; for a number that a column
            groups.
        ConvergenceError: When the fit finds no minimum, or the life at the estimates fails.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> log = bk.read_log(pd.DataFrame({  # invented
        ...     "timestamp": ["2026-03-04 08:00", "2026-03-04 10:00", "2026-03-04 12:00"],
        ...     "area in tank (dm2)": [0, 300, 300],
        ...     "nickel (g/L)": [6.0, 4.75, 3.85],
        ... }))
        >>> errors = {"nickel_g_l": ("relative", 0.02)}
        >>> recipe = bk.load_recipe("nickel-acid")
        >>> ahead = bk.forecast(recipe, log, count=8, errors=errors, sigma="known")
        >>> ahead.first_limit
        {'orthophosphite_mol_l': 1.0}
        >>> ahead.dump.hours.p10 <= ahead.dump.hours.p50 <= ahead.dump.hours.p90
        True
        >>> ahead.dump.date.p50.startswith("2026-03-")
        True
    """
    found = fit(recipe, data, free, **options)
    return found.forecast(
        count=count, seed=seed, made_up=made_up, progress=progress, despite_misfit=despite_misfit
    )
