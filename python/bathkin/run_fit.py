"""Numbers of a recipe fitted to coupon runs."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin import _core, tables
from bathkin.arrhenius import Estimate
from bathkin.errors import DataError, UnknownNameError
from bathkin.recipe import Recipe
from bathkin.records import Record
from bathkin.runs import Runs, read_runs
from bathkin.units import to_number

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

Bounds = Mapping[str, tuple[float | None, float | None]]

_MODELS = ("absolute", "relative", "mixed")
_STATED = {
    "absolute": "absolute: the same standard deviation in every run, in the unit of the data",
    "relative": "relative: the same standard deviation of the logarithm in every run",
    "mixed": "mixed: a standard deviation in the unit of the data and a relative one",
}


class Prediction(Record):
    """What a run would show.

    Attributes:
        quantity: `deposition_um_h`, or `thickness_um` for a run with a time.
        value: Calculated value.
        confidence: Where the true mean lies, 95 %.
        prediction: Where one further run lies, 95 %; None where runs have a sigma each.
    """

    _title = "Prediction"

    quantity: str
    value: float
    confidence: list[float]
    prediction: list[float] | None


class Fit:
    """Numbers of a recipe fitted to runs. Made by `fit`.

    Attributes:
        start: The recipe the fit started from.
        runs: The runs.
        free: The paths that were fitted.
    """

    def __init__(
        self,
        start: Recipe,
        runs: Runs,
        free: list[str],
        bounds: dict[str, tuple[float, float]],
        error_model: str,
        absolute_sigma: float | None,
        relative_sigma: float | None,
        sigma: str,
    ) -> None:
        self.start = start
        self.runs = runs
        self.free = free
        self._asked = (bounds, error_model, absolute_sigma, relative_sigma, sigma)
        self._core = _core.RunFit(
            start._core,
            runs.file,
            runs.rows,
            list(runs.columns.items()),
            free,
            [(path, low, high) for path, (low, high) in bounds.items()],
            error_model,
            absolute_sigma,
            relative_sigma,
            sigma == "known",
        )
        self._document: dict[str, Any] = json.loads(self._core.document())

    @property
    def estimates(self) -> list[Estimate]:
        """Value, standard error, 95 % interval and status of every free path."""
        return [Estimate(one) for one in self._document["estimates"]]

    @property
    def error_model(self) -> str:
        """How errors were taken, in words."""
        _, model, absolute, relative, sigma = self._asked
        own = "; each run with its own sigma" if "sigma" in self.runs.columns else ""
        sizes = [
            f"{name} {size:g}"
            for name, size in (("absolute", absolute), ("relative", relative))
            if size is not None
        ]
        stated = f"; {', '.join(sizes)}" if sizes else ""
        how = "as stated" if sigma == "known" else "of a size that the residuals tell"
        return f"{_STATED[model]}, {how}{own}{stated}"

    @property
    def degrees_of_freedom(self) -> int:
        """Runs less determined numbers."""
        return int(self._document["degrees_of_freedom"])

    @property
    def scatter(self) -> float | None:
        """Standard deviation of the residuals in units of sigma; of ln for relative errors."""
        value: float | None = self._document["scatter"]
        return value

    @property
    def lack_of_fit(self) -> dict[str, float] | None:
        """F test of the model against replicates, or None without any."""
        found: dict[str, float] | None = self._document["lack_of_fit"]
        return found

    @property
    def messages(self) -> list[dict[str, str]]:
        """What the runs cannot tell and what to think of: `code` and `text`."""
        return [dict(message) for message in self._document["messages"]]

    @property
    def columns(self) -> dict[str, NDArray[Any]]:
        """Per measured run: row, observed, calculated, residual, leverage."""
        names = ("row", "observed", "calculated", "residual", "standardised_residual", "leverage")
        return {
            name: np.array(self._document[name], dtype=int if name == "row" else float)
            for name in names
        }

    def table(self) -> pd.DataFrame:
        """The same as a pandas table."""
        import pandas as pd

        frame: pd.DataFrame = pd.DataFrame(self.columns)
        return frame

    def interval(
        self, path: str, level: float = 0.95, method: str = "standard"
    ) -> tuple[float | None, float | None]:
        """Interval of a fitted number.

        Args:
            path: One of the free paths.
            level: Probability.
            method: `standard`, from the standard error (straight in the logarithm for rates and
                other positive numbers), or `profile`, from the likelihood, whose ends may be open.

        Raises:
            UnknownNameError: For a path that was not free.
            DataError: For a level outside 0-1, or no degree of freedom.

        Returns:
            Low and high end; None where there is none.
        """
        place = self._place(path)
        if method == "profile":
            low, high = self._core.profile(place, level)
            return low, high
        if method != "standard":
            raise DataError(f"method = {method}: expected standard or profile")
        found = self._core.interval(place, level)
        return (found[0], found[1]) if found is not None else (None, None)

    def correlation(self) -> pd.DataFrame:
        """Correlations of the fitted numbers; NaN where one has no standard error."""
        import pandas as pd

        values = np.array(self._document["correlation"], dtype=float)
        frame: pd.DataFrame = pd.DataFrame(values, index=self.free, columns=self.free)
        return frame

    def predict(self, settings: Mapping[str, float | str]) -> Prediction:
        """What a run would show, with the band of its mean and that of one more run.

        Args:
            settings: Values by name, as in the table of runs: settings of the recipe, `time_min`
                for a thickness in place of a rate, `area_cm2` for a bath left alone with it.

        Raises:
            DataError: When it depends on what the runs do not determine.
        """
        given = [
            (name, to_number("minutes" if name == "time_min" else name, value, "predict"))
            for name, value in settings.items()
        ]
        return Prediction(json.loads(self._core.predict(given)))

    def recipe(self) -> Recipe:
        """The recipe with the fitted numbers, each of kind `fitted`, with runs and standard error.

        `recipe().text` is the document, to be written to a file.
        """
        return Recipe(self._core.fitted_recipe(f"{self.runs.file} ({self.runs.digest})"))

    def summary(self) -> str:
        """Estimates with intervals, error model, correlations and remarks, as a text."""
        rows = self.estimates
        low = [one.interval95[0] if one.interval95 else None for one in rows]
        high = [one.interval95[1] if one.interval95 else None for one in rows]
        table = tables.render(
            [
                tables.Column("", [one.path for one in rows], left=True),
                tables.Column("value", [tables.number(one.value) for one in rows]),
                tables.Column("std. error", [tables.number(one.standard_error, 2) for one in rows]),
                tables.Column("95 % from", [tables.number(value) for value in low]),
                tables.Column("to", [tables.number(value) for value in high]),
                tables.Column("status", [one.status for one in rows], left=True),
            ]
        )
        lines = [
            table,
            "",
            f"{len(self._document['row'])} runs, {self.degrees_of_freedom} degrees of freedom,"
            f" scatter {tables.number(self.scatter, 3)}",
            tables.wrapped(f"errors {self.error_model}", 0, 2),
        ]
        correlation = self._document["correlation"]
        for at, path in enumerate(self.free):
            for before in range(at):
                value = correlation[at][before]
                if value is not None:
                    lines.append(f"correlation {value:7.3f}  {self.free[before]} with {path}")
        lines += [tables.wrapped(f"! {message['text']}", 0, 2) for message in self.messages]
        return "\n".join(lines)

    def as_dict(self) -> dict[str, Any]:
        """Everything in plain values, as `bathkin fit --json` prints it."""
        correlation = {
            path: dict(zip(self.free, self._document["correlation"][place], strict=True))
            for place, path in enumerate(self.free)
        }
        kept = {
            name: value
            for name, value in self._document.items()
            if name not in {"correlation", "error_model"}
        }
        return {
            **kept,
            "correlation": correlation,
            "error_model": self.error_model,
            "runs": {"file": self.runs.file, "digest": self.runs.digest},
            "assumptions": [one.as_dict() for one in self.runs.report],
        }

    def plot(self) -> Figure:
        """Calculated against observed, and the residuals by row."""
        from bathkin.run_fit_plot import plot_run_fit

        return plot_run_fit(self)

    def _place(self, path: str) -> int:
        if path not in self.free:
            message = f"{path} was not free; these were: {', '.join(self.free)}"
            raise UnknownNameError(message, name=path, valid=self.free)
        return self.free.index(path)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Fit) and self._document == other._document

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Fit, (self.start, self.runs, self.free, *self._asked)

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        rows = [(one.path, tables.number(one.value)) for one in self.estimates]
        return tables.html_card("Fit", rows)


def fit(
    recipe: Recipe,
    runs: Runs | str | os.PathLike[str] | pd.DataFrame,
    free: Iterable[str],
    bounds: Bounds | None = None,
    error_model: str = "relative",
    *,
    absolute_sigma: float | None = None,
    relative_sigma: float | None = None,
    sigma: str = "estimated",
) -> Fit:
    """Fits numbers of a recipe to coupon runs by least squares, from the recipe's own values.

    A run with area and time is predicted as `Bath.plate` does: the bath of `tank.volume_l` is left
    alone with the coupon. Without an area it is rate x time.

    Args:
        recipe: The recipe; all that is not free stays.
        runs: Runs, or what `read_runs` takes.
        free: Paths of numbers.
        bounds: (low, high) by path, None for no bound.
        error_model: `relative` (of the logarithm), `absolute`, or `mixed`. A remark tells where it
            matters.
        absolute_sigma: Standard deviation in the unit of the data.
        relative_sigma: Relative standard deviation, 0.05 for 5 %.
        sigma: `estimated`, only the ratios of the standard deviations count and the residuals tell
            their size; or `known`, they are believed: with a column sigma or one of the above.

    Raises:
        DataError: For runs that cannot be used, with file, row, column and raw text.
        UnknownNameError: For a path or column the recipe does not know.
        ConvergenceError: When the search ends without a minimum.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> runs = pd.DataFrame({"temperature_c": [75, 80, 85, 90, 95],
        ...                      "deposition_um_h": [8.1, 11.3, 14.6, 19.9, 25.2]})
        >>> free = ["deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"]
        >>> found = bk.fit(bk.load_recipe("nickel-acid"), runs, free)
        >>> round(found.estimates[1].value, 1)
        60.5
        >>> found.recipe().get("deposition.activation_energy_kj_mol") == found.estimates[1].value
        True
    """
    table = runs if isinstance(runs, Runs) else read_runs(runs)
    if error_model not in _MODELS:
        raise DataError(f"error_model = {error_model}: expected {', '.join(_MODELS)}")
    if sigma not in {"estimated", "known"}:
        raise DataError(f"sigma = {sigma}: expected estimated or known")
    for name, size in (("absolute_sigma", absolute_sigma), ("relative_sigma", relative_sigma)):
        if size is not None and not 0.0 < size < math.inf:
            raise DataError(f"{name} = {size}: expected a number above zero")
    sizes = {"absolute": [absolute_sigma], "relative": [relative_sigma]}
    needed = sizes.get(error_model, [absolute_sigma, relative_sigma])
    own = "sigma" in table.columns
    if error_model == "mixed" and None in needed:
        raise DataError("mixed errors need absolute_sigma and relative_sigma")
    if sigma == "known" and None in needed and not own:
        raise DataError(f"known {error_model} errors need {error_model}_sigma or a column sigma")
    ends = {
        path: (-math.inf if low is None else low, math.inf if high is None else high)
        for path, (low, high) in (bounds or {}).items()
    }
    return Fit(
        recipe,
        table,
        [free] if isinstance(free, str) else list(free),
        ends,
        error_model,
        absolute_sigma,
        relative_sigma,
        sigma,
    )
