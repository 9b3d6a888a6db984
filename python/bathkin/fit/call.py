"""The call `bathkin.fit`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from bathkin.core.flags import Flag, warn
from bathkin.fit.data import Readable, Sheets, sheets_of
from bathkin.fit.fit import Fit
from bathkin.fit.question import Bounds, Errors, Priors, Question, Ties, question
from bathkin.recipe.recipe import Recipe, as_recipe

# Remarks on rows that do not belong, or a search without an end.
_DOUBTFUL = frozenset({"outlier", "rows-copied", "data-twice", "replicates-conflict", "on-ridge"})


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
    errors: Errors | None = None,
    priors: Priors | None = None,
    start: str = "measured",
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
            `mixed`. A remark tells where it matters.
        absolute_sigma: Its standard deviation in the unit of the data.
        relative_sigma: Its relative standard deviation, 0.05 for 5 %.
        sigma: `estimated`, only the ratios of the standard deviations count and the residuals tell
            their size, for each column by itself; or `known`, they are believed. Standard errors
            take the sizes as known; intervals are wider where few residuals told them.
        ties: Path to the free path it follows, in the ratio of the recipe, or to (path, factor).
        per: Free path to a column: it has a value of its own for each label there. `run` stands
            for each row, `data` for each sheet.
        errors: Column to ("relative", 0.02), ("absolute", size) or ("mixed", size, relative).
            Without: 0.05 pH, 0.3 wt%, 0.005 of specific gravity; else 2 % and 1 % of the largest.
        priors: Path to (mean, standard deviation), lognormal for rates and other positive numbers;
            or to "recipe", which has the range of the number, or what an earlier fit found.
        start: `measured`, or `made-up`: baths of logs start exactly as the recipe makes them up.
        loss: `linear`; `huber`, `soft_l1` or `cauchy` take outliers lightly.
        loss_scale: From how many standard deviations on.
        starts: Look for a lower minimum from so many further starts about the recipe's numbers; a
            remark tells what they found.
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
    """
    wanted = question(
        free,
        bounds,
        ties,
        per,
        errors,
        priors,
        error_model=error_model,
        absolute_sigma=absolute_sigma,
        relative_sigma=relative_sigma,
        sigma=sigma,
        start=start,
        loss=loss,
        loss_scale=loss_scale,
        starts=starts,
        seed=seed,
    )
    return asked(as_recipe(recipe), sheets_of(data), wanted)


def asked(recipe: Recipe, sheets: Sheets, wanted: Question) -> Fit:
    """The fit that answers a question; what makes it doubtful as a whole is warned of."""
    found = Fit(recipe, sheets, wanted.checked(sheets))
    doubtful = [one for one in found.messages if one["code"] in _DOUBTFUL or one in found.misfit]
    warn([Flag("fit", one["text"]) for one in doubtful], stacklevel=4)
    return found
