"""The same fit twice: by bathkin, and by lmfit over coupons and logs in SciPy with numba.

Five numbers of power-law and what each bath held at the start of its log, 17 in all, from 24
weighed coupons and 3 logs of 60 rows (`../data`, invented): the fit of `../recipe_fit.rs`, with
Davies in place of SIT, which the peers have not. Measured is the wall time from the sheets and the
resolved recipe to the estimates with their standard errors. Left out are, for the peers, compiling
with numba and the baths of the coupons, which no free number moves.

bathkin also estimates the size of the errors of each column; the peers are given what it found, so
that all look for the minimum of one sum, and bathkin is timed with these sizes given too. It goes
on until a step promises 1e-9 of the sum, and takes that one too; lmfit until the sum and the step
change no more than by 1e-9. lmfit takes its slopes from differences.

Two peers: a plain one, as such a model is written first, in which every sum of squares runs every
coupon and log by `solve_ivp`; and one made to measure, which for a difference runs only what the
number has a say in, by `odeint`.

First the models are held against each other at bathkin's estimates, then the fits.
"""

import argparse
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import lmfit
import numpy as np
from log_model import DATA, FREE, LOGS, READINGS, RUNS, STARTS, LogModel, Table

ROUNDS = {"full": 3, "quick": 1}
ALLOWED_VALUE = 1e-6
ALLOWED_ESTIMATE = 2e-3  # of a standard error
ALLOWED_ERROR = 1e-2
# Differences are taken over its root, times the number: far above what the integrator leaves open.
EPSFCN = 1e-10
# Decrease and step at which the search ends.
TOLERANCE = 1e-9

Estimates = dict[str, tuple[float, float]]


def main() -> int:
    parser = argparse.ArgumentParser(description="bathkin against lmfit, a fit of 17 numbers")
    parser.add_argument("--quick", action="store_true", help="bathkin once, no plain peer")
    quick = parser.parse_args().quick
    rounds = ROUNDS["quick" if quick else "full"]
    warnings.simplefilter("ignore", bk.BathkinWarning)
    recipe = bk.load_recipe(DATA / "power-law.toml").set({"solution.activity": "davies"})
    data = [bk.read_runs(DATA / RUNS), *(bk.read_log(DATA / name) for name in LOGS)]

    def by_bathkin(**errors) -> Callable[[], bk.Fit]:
        return lambda: bk.fit(recipe, data, free=list(FREE), **errors)

    found, seconds = fastest(by_bathkin(), rounds)
    stated = {one.column: stated_errors(one) for one in found.errors}
    _, seconds_given = fastest(by_bathkin(errors=stated, sigma="known"), rounds)
    ours = {one.path: (one.value, one.standard_error) for one in [*found.estimates, *found.starts]}

    start = time.perf_counter()
    model = LogModel(recipe._core)
    good = print_models(model, found, ours)
    print(f"numba compiled in {time.perf_counter() - start:.1f} s, not counted below\n")

    peer = Peer(model, found)
    theirs, tuned_seconds = fastest(peer.fit, 1)
    good &= print_estimates(ours, theirs)
    tuned_runs = peer.evaluations, peer.simulations
    times = [
        ("bathkin", seconds),
        ("bathkin, sizes given", seconds_given),
        ("lmfit, SciPy + numba, made to measure", tuned_seconds),
    ]
    if not quick:
        model.plain = True
        theirs, plain_seconds = fastest(peer.fit, 1)
        good &= print_estimates(ours, theirs)
        times.append(("lmfit, SciPy + numba, plain", plain_seconds))
    print(f"\n{'':40}{'seconds':>9}{'times':>8}{'times, sizes given':>20}")
    for name, one in times:
        print(f"{name:40}{one:9.3f}{one / seconds:8.2f}{one / seconds_given:20.2f}")
    evaluations, simulations = tuned_runs
    print(f"\nmade to measure: {evaluations} sums of squares, {simulations} coupons and logs run")
    if not quick:
        print(f"plain: {peer.evaluations} sums of squares, {peer.simulations} coupons and logs run")
    return 0 if good else 1


def fastest(run: Callable, rounds: int):
    """The answer and the shortest time."""
    shortest = float("inf")
    for _ in range(rounds):
        start = time.perf_counter()
        answer = run()
        shortest = min(shortest, time.perf_counter() - start)
    return answer, shortest


def stated_errors(column) -> tuple:
    """Errors of a column in the size that was found, as `bathkin.fit` takes them."""
    sizes = (column.absolute_sigma, column.relative_sigma)
    return column.stated["model"], *(size for size in sizes if size is not None)


def start_name(column: str, file: str) -> str:
    """How bathkin names a number that a log starts with."""
    return f"start.{column}@{file}"


def in_solver(path: str, value: float) -> float:
    """A number as the search moves it: the rate by its logarithm."""
    return float(np.log(value)) if path == FREE[0] else value


def calculated(model: LogModel, values: dict[str, float]) -> dict[str, Table]:
    """Values of the peer's model by file, at numbers as the search moves them."""
    law = tuple(values[path] for path in FREE)
    starts = [tuple(values[start_name(name, file)] for name in STARTS) for file in LOGS]
    return dict(zip((RUNS, *LOGS), model.values(law, starts), strict=True))


def print_models(model: LogModel, found: bk.Fit, ours: Estimates) -> bool:
    """Holds the models against each other; false when they differ too much."""
    tables = calculated(model, {path: in_solver(path, value) for path, (value, _) in ours.items()})
    off = dict.fromkeys(("mass_gain_mg", *READINGS), 0.0)
    columns = found.columns
    keys = (columns[name] for name in ("column", "file", "row", "calculated"))
    for name, file, row, value in zip(*keys, strict=True):
        other = tables[Path(file).name][name][row - 1]
        off[name] = max(off[name], abs(other - value) / abs(value))
    good = max(off.values()) <= ALLOWED_VALUE
    print("the models at bathkin's estimates, largest relative differences")
    for name, size in off.items():
        print(f"  {name:24}{size:9.1e}")
    print(f"{len(columns['column'])} values: {'agree' if good else 'DISAGREE'}")
    return good


class Peer:
    """The fit by lmfit; errors of the columns are those that bathkin has found."""

    def __init__(self, model: LogModel, found: bk.Fit):
        self.model = model
        self.evaluations = self.simulations = 0
        observed = {RUNS: {"mass_gain_mg": model.mass_gain_mg}} | dict(
            zip(LOGS, model.logs, strict=True)
        )
        errors = {one.column: one for one in found.errors}
        # (file, column, observed, sigma or None where it is of the logarithm, its size).
        self.columns = []
        for file, table in observed.items():
            for name in ("mass_gain_mg", *READINGS):
                if name in table:
                    absolute, relative = errors[name].absolute_sigma, errors[name].relative_sigma
                    logarithmic = absolute is None
                    sigma = np.hypot(absolute or 0.0, (relative or 0.0) * table[name])
                    sigma = relative if logarithmic else sigma
                    self.columns.append((file, name, table[name], sigma, logarithmic))
        # lmfit wants names without dots.
        self.paths: dict[str, str] = {}
        self.start = lmfit.Parameters()
        starts = dict(zip(FREE, model.law, strict=True))
        for file, table in zip(LOGS, model.logs, strict=True):
            starts |= {start_name(name, file): table[name][0] for name in STARTS}
        for number, (path, value) in enumerate(starts.items()):
            self.paths[f"n{number}"] = path
            self.start.add(f"n{number}", value=float(value))

    def residuals(self, parameters: lmfit.Parameters) -> np.ndarray:
        values = {path: parameters[name].value for name, path in self.paths.items()}
        tables = calculated(self.model, values)
        parts = []
        for file, name, observed, sigma, logarithmic in self.columns:
            value = tables[file][name]
            off = np.log(value / observed) if logarithmic else value - observed
            parts.append(off / sigma)
        return np.concatenate(parts)

    def fit(self) -> Estimates:
        """Estimates by path with standard errors, in the recipe's numbers."""
        self.model.forget()
        result = lmfit.minimize(
            self.residuals,
            self.start,
            method="leastsq",
            epsfcn=EPSFCN,
            ftol=TOLERANCE,
            xtol=TOLERANCE,
        )
        assert result.success, result.message
        assert result.errorbars, result.message
        self.evaluations, self.simulations = result.nfev, self.model.simulations
        estimates = {}
        for name, path in self.paths.items():
            value, error = result.params[name].value, result.params[name].stderr
            if path == FREE[0]:
                value, error = np.exp(value), np.exp(value) * error
            estimates[path] = (value, error)
        return estimates


def print_estimates(ours: Estimates, theirs: Estimates) -> bool:
    """Prints both fits; false when they differ too much."""
    print(f"{'':40}{'bathkin':>12}{'s.e.':>10}{'lmfit':>12}{'s.e.':>10}{'apart, s.e.':>13}")
    furthest = largest = 0.0
    for path, (value, error) in ours.items():
        other, other_error = theirs[path]
        apart = abs(other - value) / error
        furthest, largest = max(furthest, apart), max(largest, abs(other_error / error - 1.0))
        print(f"{path:40}{value:12.6g}{error:10.2g}{other:12.6g}{other_error:10.2g}{apart:13.1e}")
    good = furthest <= ALLOWED_ESTIMATE and largest <= ALLOWED_ERROR
    print(
        f"furthest apart {furthest:.1e} of a standard error, standard errors {largest:.1e}: "
        f"{'agree' if good else 'DISAGREE'}"
    )
    return good


if __name__ == "__main__":
    sys.exit(main())
