"""Numbers of a recipe fitted to coupon runs and bath logs."""

from __future__ import annotations

import os
from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, Any

from bathkin.core import layout
from bathkin.core.arguments import (
    MOST_POINTS,
    MOST_REPEATS,
    MOST_RUNS,
    above_zero,
    whole,
    word,
)
from bathkin.core.flags import Flag, warn
from bathkin.core.progress import Progress, reporting
from bathkin.core.result import made_from
from bathkin.fit.bootstrap import Bootstrap
from bathkin.fit.data import Readable, Sheets, sheets_of
from bathkin.fit.next_runs import Candidates, NextRuns, grids
from bathkin.fit.options import FitOptions
from bathkin.fit.posterior import Posterior
from bathkin.fit.record import FitInput, FitRecord
from bathkin.recipe.recipe import Recipe

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.fit.forecast import Forecast
    from bathkin.fit.sampling import Sample


class Fit(FitRecord):
    """Numbers of a recipe fitted to data. Made by `bathkin.fit`.

    Pickles with what was found; what asks more of the data (profiles, predictions, the bootstrap,
    forecasts ...) fits again, once, when it is first called on a loaded one.
    """

    __slots__ = ()

    def bootstrap(
        self,
        replicates: int = 200,
        seed: int = 1,
        resampling: str = "residuals",
        progress: Progress = None,
    ) -> Bootstrap:
        """The fit repeated on data drawn again, for intervals without a linear approximation.

        Args:
            replicates: How often.
            seed: The same seed gives the same answer.
            resampling: `residuals`, put onto calculated values; or `cases`, runs and samples with
                replacement, which assumes neither model nor errors but needs many.
            progress: True for a bar, or a function that is called with how many are done.

        Raises:
            DataError: With too little to draw from.
        """
        word("resampling", resampling, ("residuals", "cases"))
        count, seed = (
            whole("replicates", replicates, least=2, most=MOST_REPEATS),
            whole("seed", seed),
        )
        with reporting(progress, f"repeats of {count}", "fitting") as report:
            return self._core.bootstrap(count, seed, resampling == "cases", report)

    def sample(
        self,
        steps: int = 1000,
        burn_in: int = 200,
        walkers: int | None = None,
        seed: int = 1,
        progress: Progress = None,
    ) -> Sample:
        """Samples from the posterior, by emcee (the extra `bayes`).

        Args:
            steps: Steps that are kept.
            burn_in: Steps before them.
            walkers: Points that move together; four for each number, and at least 16.
            seed: The same seed gives the same samples.
            progress: True for a bar, or a function that is called with the steps done.

        Raises:
            BathkinError: Without emcee.
            DataError: For a number that the data leave open and that has no prior.
        """
        from bathkin.fit.sampling import sample

        return sample(self, steps, burn_in, walkers, seed, progress)

    def posterior(
        self, effective: int = 1000, seed: int = 1, most: int = 100_000, progress: Progress = None
    ) -> Posterior:
        """Draws of the posterior without a chain: weighted points about the estimates.

        Most posteriors of fits are close to a bell about the estimates; then a few thousand points
        of a distribution a little wider, each with a weight, serve as well as a long chain.
        `pareto_k` tells whether they do; where not, the result says so, and `sample` draws a chain.

        Args:
            effective: How many independent draws the points are to be worth.
            seed: The same seed gives the same draws.
            most: The most points that are computed for it.
            progress: True for a bar, or a function that is called with the points computed.

        Returns:
            Draws with weights, and mean, standard deviation and interval of each number.

        Raises:
            DataError: For a number that the data leave open and that has no prior; for a robust
                loss.

        Example:
            >>> import bathkin as bk, pandas as pd
            >>> runs = pd.DataFrame({  # invented
            ...     "temperature_c": [76, 80, 84, 88, 90, 92],
            ...     "deposition_um_h": [9.1, 11.9, 14.2, 18.3, 20.9, 22.3],
            ... })
            >>> free = ["deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"]
            >>> found = bk.fit("nickel-acid", runs, free=free).posterior()
            >>> found.trusted, found.marginals[1].path
            (True, 'deposition.activation_energy_kj_mol')
        """
        with reporting(progress, "points", "sampling") as report:
            return self._core.posterior(
                whole("effective", effective, least=10, most=MOST_POINTS),
                whole("most", most, least=10, most=MOST_POINTS),
                whole("seed", seed),
                report,
            )

    def to_arviz(self, **sampling: Any) -> Any:
        """Draws of the posterior as ArviZ takes them.

        Those of `posterior`; where its weights cannot be trusted, or with arguments of `sample`, a
        chain.
        """
        if not sampling:
            found = self.posterior()
            if found.trusted:
                return found.to_arviz()
        return self.sample(**sampling).to_arviz()

    def next_runs(
        self,
        candidates: Candidates,
        count: int = 1,
        aim: str | None = None,
        at_most: int = 1,
        relative_sigma: float | None = None,
        progress: Progress = None,
    ) -> NextRuns:
        """The most informative runs among candidates.

        Slopes are those at the estimates: make a few runs, fit again with them, choose again.

        Args:
            candidates: Values of each setting, to be combined, or a list of settings; settings as
                for `predict`, such as `temperature_c`, `time_min`, `area_dm2`.
            count: How many to choose.
            aim: The path that matters; without it, all together.
            at_most: How often the same settings may be chosen.
            relative_sigma: Relative standard deviation of a run, for a fit of logs alone.
            progress: True for a bar, or a function that is called with the candidates computed.

        Raises:
            DataError: For candidates that the recipe does not take, or too few of them.
        """
        among = grids(candidates)
        with reporting(progress, "candidates", "computing") as report:
            return self._core.next_runs(
                among,
                whole("count", count, least=1, most=MOST_RUNS),
                None if aim is None else word("aim", aim),
                whole("at_most", at_most, least=1, most=MOST_RUNS),
                None if relative_sigma is None else above_zero("relative_sigma", relative_sigma),
                report,
            )

    def forecast(
        self,
        recipe: Recipe | str | None = None,
        count: int = 200,
        seed: int = 1,
        made_up: date | str | None = None,
        progress: Progress = None,
        despite_misfit: bool = False,
    ) -> Forecast:
        """Dump date with its uncertainty: simulated bath lives, sampled from the fit.

        Args:
            recipe: The bath to run, which may differ from the fitted one in all that is not fitted;
                a recipe, or the name or path of one.
            count: Lives.
            seed: The same seed gives the same answer.
            made_up: When the bath was made up, for the date of the dump.
            progress: True for a bar, or a function that is called with the lives done.
            despite_misfit: Forecast though the model misses the data (`misfit`).

        Raises:
            DataError: For a fit that misses its data; for a number that a column groups.
            ConvergenceError: When the life at the estimates fails.
        """
        from bathkin.fit.forecast import lives

        return lives(self, recipe, count, seed, made_up, progress, despite_misfit)

    def update(self, more: Readable | Iterable[Readable]) -> Fit:
        """The same fit to these data and more."""
        return fitted(self.start, [*self.data, *sheets_of(more)], self._of.options)

    def summary(self) -> str:
        """Estimates with intervals, errors, correlations and remarks, as a text."""
        from bathkin.reports.fit import summary

        return summary(self)

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values, as `bathkin fit --json` prints it."""
        from bathkin.reports.fit import plain

        return plain(self)

    def plot(
        self, data: str | int | None = None, path: str | os.PathLike[str] | None = None
    ) -> Figure:
        """What was measured beside what the fit gives, and the residuals.

        Args:
            data: Name of runs or a log, or its number among `data`. Runs show calculated against
                observed, a log every reading over time. Without one: the only one there is, or
                every column with all data.
            path: Where to write the picture, if anywhere.

        Raises:
            UnknownNameError: For a name that no data have.
            RecipeError: For a picture format that is not known.
            OSError: When the file cannot be written.
        """
        from bathkin.plots.fit import plot_fit
        from bathkin.plots.picture import saved

        sheet = 0 if data is None and len(self.data) == 1 else data
        return saved(plot_fit(self, None if sheet is None else self._sheet(sheet)), path)

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        rows = [
            (one.path, f"{layout.number(one.value)} ± {layout.number(one.standard_error, 2)}")
            for one in [*self.estimates, *self.starts]
        ]
        return layout.html_card("Fit", rows)


# Remarks on rows that do not belong, or a search without an end.
_DOUBTFUL = frozenset({"outlier", "rows-copied", "data-twice", "replicates-conflict", "on-ridge"})


def fitted(recipe: Recipe, sheets: Sheets, options: FitOptions) -> Fit:
    """The fit of a recipe to data; what makes it doubtful as a whole is a warning."""
    of = FitInput(recipe, sheets, options.checked(sheets))
    found = made_from(of.core.result(), of)
    doubtful = [one for one in found.remarks if one.code in _DOUBTFUL or one in found.misfit]
    warn([Flag("fit", one.text) for one in doubtful], stacklevel=4)
    return found
