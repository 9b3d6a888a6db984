"""Samples from the posterior of a fit, by emcee."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin.core import layout
from bathkin.core.arguments import MOST_STEPS, MOST_WALKERS, whole
from bathkin.core.progress import Progress, reporting
from bathkin.errors import BathkinError, DataError
from bathkin.fit.samples import NEEDED, inference_data

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.fit.record import FitRecord

# A chain shorter than this many autocorrelation times is too short (emcee's own advice).
_LONG_ENOUGH = 50
# Values that are kept, 8 bytes each.
_MOST_KEPT = 50_000_000


class Sample:
    """Samples from the posterior. Made by `Fit.sample`.

    Attributes:
        names: Sampled numbers, as in `estimates` and `starts` of the fit.
        chain: Values by step, walker and number, in the recipe's units.
        log_posterior: Logarithm of the posterior by step and walker, up to a constant.
        acceptance: Part of the moves that were taken; 0.2-0.5 is usual.
        autocorrelation_steps: Steps after which a number has forgotten where it was, NaN where the
            chain is too short for it.
    """

    def __init__(
        self,
        names: list[str],
        chain: NDArray[np.float64],
        log_posterior: NDArray[np.float64],
        acceptance: float,
        autocorrelation_steps: NDArray[np.float64],
    ) -> None:
        self.names = names
        self.chain = chain
        self.log_posterior = log_posterior
        self.acceptance = acceptance
        self.autocorrelation_steps = autocorrelation_steps

    @property
    def long_enough(self) -> bool:
        """Whether the chain has 50 autocorrelation times of every number."""
        times = self.autocorrelation_steps
        return bool(np.isfinite(times).all()) and len(self.chain) >= _LONG_ENOUGH * times.max()

    def table(self) -> pd.DataFrame:
        """All samples as a pandas table."""
        import pandas as pd

        flat = self.chain.reshape(-1, len(self.names))
        frame: pd.DataFrame = pd.DataFrame(flat, columns=self.names)
        return frame

    def summary(self) -> str:
        """Mean, standard deviation and 95 % interval of each number, and how good the chain is."""
        flat = self.chain.reshape(-1, len(self.names))
        low, high = np.quantile(flat, [0.025, 0.975], axis=0)
        table = layout.render(
            [
                layout.Column("posterior", self.names, left=True),
                layout.Column("mean", [layout.number(value) for value in flat.mean(axis=0)]),
                layout.Column("std. dev.", [layout.number(value, 2) for value in flat.std(axis=0)]),
                layout.Column("95 % from", [layout.number(value) for value in low]),
                layout.Column("to", [layout.number(value) for value in high]),
            ]
        )
        steps, walkers, _ = self.chain.shape
        longest = float(np.max(self.autocorrelation_steps))
        caveat = "" if self.long_enough else "\n! too short a chain: take more steps"
        return (
            f"{table}\n\n{steps} steps of {walkers} walkers, {100 * self.acceptance:.0f} % of moves"
            f" taken, autocorrelation {layout.number(longest, 2)} steps{caveat}"
        )

    def to_arviz(self) -> Any:
        """The samples as ArviZ takes them: a chain for each walker."""
        by_walker = np.moveaxis(self.chain, 0, 1)
        posterior = {name: by_walker[:, :, place] for place, name in enumerate(self.names)}
        return inference_data(posterior, {"lp": self.log_posterior.T})

    def __repr__(self) -> str:
        return self.summary()


class _Posterior:
    """The posterior for the sampler, which would print a traceback of whatever ends it."""

    def __init__(self, fit: FitRecord) -> None:
        self._fit = fit
        self._ended: BaseException | None = None

    def __call__(self, points: NDArray[np.float64]) -> NDArray[np.float64] | float:
        if self._ended is None:
            try:
                return self._fit.log_posterior(points)
            except BaseException as ended:
                self._ended = ended
        return np.zeros(len(points))

    def check(self) -> None:
        """Raises what ended it, Ctrl-C among others."""
        if self._ended is not None:
            raise self._ended


def sample(
    fit: FitRecord, steps: int, burn_in: int, walkers: int | None, seed: int, progress: Progress
) -> Sample:
    """See `Fit.sample`."""
    try:
        import emcee
    except ImportError as error:
        raise BathkinError(NEEDED) from error
    names = [one.path for one in [*fit.estimates, *fit.starts]]
    # Four for each number keep the ensemble from lying in a plane; emcee needs two.
    usual = max(4 * len(names), 16)
    count = usual if walkers is None else whole("walkers", walkers, most=MOST_WALKERS)
    if count < 2 * len(names) or count % 2:
        raise DataError(f"walkers = {count}: expected an even number, at least {2 * len(names)}")
    steps = whole("steps", steps, least=1, most=MOST_STEPS)
    burn_in = whole("burn_in", burn_in, most=MOST_STEPS)
    kept = max(steps, burn_in) * count * len(names)
    if kept > _MOST_KEPT:
        what = f"{steps} steps of {count} walkers in {len(names)} numbers"
        raise DataError(f"{what}: expected at most {_MOST_KEPT} values: take fewer steps")
    # The sampler's own generator takes 32 bits.
    if whole("seed", seed) >= 2**32:
        raise DataError(f"seed = {seed}: expected less than {2**32}")
    start = np.array(fit._core.sampler_start(count, seed))
    posterior = _Posterior(fit)
    # Differences of two walkers know scales and correlations (C. J. F. ter Braak and J. A. Vrugt,
    # Statistics and Computing 18 (2008) 435-446): more independent samples than by stretches.
    moves = [(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)]
    sampler = emcee.EnsembleSampler(count, len(names), posterior, moves=moves, vectorize=True)
    state = emcee.State(start, random_state=np.random.RandomState(seed).get_state())
    with reporting(progress, f"steps of {burn_in + steps}", "sampling") as report:
        for before, stretch in ((0, burn_in), (burn_in, steps)):
            if not stretch:
                continue
            sampler.reset()
            steps_of = sampler.sample(state, iterations=stretch)
            for done, after in enumerate(steps_of, before + 1):
                posterior.check()
                state = after
                if report is not None:
                    report(done)
    # Quiet about short chains, and walkers that never moved: the sample says so itself.
    with np.errstate(invalid="ignore", divide="ignore"):
        times = sampler.get_autocorr_time(quiet=True, tol=0)
    return Sample(
        names,
        sampler.get_chain(),
        sampler.get_log_prob(),
        float(np.mean(sampler.acceptance_fraction)),
        np.asarray(times, dtype=float),
    )
