"""What a fit found: estimates, errors, residuals, intervals, predictions."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bathkin import _core
from bathkin.core.arguments import MOST_POINTS, finite, named, truth, whole, word
from bathkin.core.flags import warn
from bathkin.core.numbers import shown
from bathkin.errors import DataError, UnknownNameError
from bathkin.fit import results
from bathkin.fit.data import Sheets, given, names_of
from bathkin.fit.options import FitOptions
from bathkin.fit.prediction import Prediction
from bathkin.recipe.recipe import Recipe
from bathkin.tables.runs import Runs, setting

if TYPE_CHECKING:
    import pandas as pd

_KINDS: dict[str, type] = {"column": object, "file": object, "row": int, "below": bool}


class FitInput:
    """What a fit is made of, and the fit in the core: made when it is needed.

    A loaded pickle can do without for long.

    Attributes:
        recipe: The recipe the fit started from.
        data: Runs and logs.
        options: The arguments of `bathkin.fit`.
    """

    def __init__(self, recipe: Recipe, data: Sheets, options: FitOptions) -> None:
        self.recipe = recipe
        self.data = data
        self.options = options
        self._fitted: _core.RecipeFit | None = None

    @property
    def core(self) -> _core.RecipeFit:
        """The fit in the core."""
        if self._fitted is None:
            self._fitted = _core.RecipeFit(self.recipe._core, given(self.data), self.options)
        return self._fitted

    def __eq__(self, other: object) -> bool:
        return isinstance(other, FitInput) and self.__reduce__() == other.__reduce__()

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return FitInput, (self.recipe, self.data, self.options)


class FitRecord(results.Fit):
    """The numbers of a fit; `Fit` adds what goes on from it."""

    __slots__ = ("_of",)
    _of: FitInput

    @property
    def start(self) -> Recipe:
        """The recipe the fit started from."""
        return self._of.recipe

    @property
    def data(self) -> Sheets:
        """Runs and logs."""
        return self._of.data

    @property
    def free(self) -> list[str]:
        """The paths that were fitted."""
        return list(self._of.options.free)

    @property
    def _core(self) -> _core.RecipeFit:
        return self._of.core

    @property
    def runs(self) -> Runs:
        """The runs, where there is one sheet of them.

        Raises:
            DataError: For none or several: they are in `data`.
        """
        found = [sheet for sheet in self.data if isinstance(sheet, Runs)]
        if len(found) != 1:
            raise DataError(f"{len(found)} sheets of runs: see data")
        return found[0]

    @property
    def error_model(self) -> str:
        """How errors were taken, in words."""
        return self._of.options.errors_in_words(self.data)

    @property
    def aicc(self) -> float | None:
        """Akaike's criterion for few rows; None where `criteria` is."""
        return self.criteria.aicc if self.criteria else None

    @property
    def covar(self) -> pd.DataFrame:
        """Covariance of `estimates` and `starts` in the recipe's units, by path.

        To first order for those fitted on a log scale; NaN where one has no standard error.
        """
        return self._square(self.covariance, len(self.names))

    @property
    def columns(self) -> dict[str, NDArray[Any]]:
        """Per measured value: column, file, row, observed, calculated, residual, leverage.

        Of a value below a limit of detection (`below`), `observed` is the limit.
        """
        return {
            name: np.array(values, dtype=_KINDS[name]) if name in _KINDS else values
            for name, values in self.measured
        }

    def residuals(self) -> pd.DataFrame:
        """The same as a pandas table; residuals are observed less calculated, in sigmas."""
        import pandas as pd

        frame: pd.DataFrame = pd.DataFrame(self.columns)
        return frame

    def __getitem__(self, path: str) -> results.PathEstimate:
        """The estimate of a path of `estimates` or `starts`.

        Raises:
            UnknownNameError: For a path that was not free, a `KeyError`; it names the nearest.
        """
        self._check(path)
        return next(one for one in [*self.estimates, *self.starts] if one.path == path)

    def table(self) -> pd.DataFrame:
        """The estimates, a row per path: value, standard error, 95 % interval, status.

        Columns `value`, `standard_error`, `low95` and `high95` (NaN where there is none), `status`.
        """
        import pandas as pd

        rows = {}
        for one in [*self.estimates, *self.starts]:
            low, high = one.interval95 or (np.nan, np.nan)
            error = np.nan if one.standard_error is None else one.standard_error
            rows[one.path] = (one.value, error, low, high, one.status)
        names = ["value", "standard_error", "low95", "high95", "status"]
        table: pd.DataFrame = pd.DataFrame.from_dict(rows, orient="index", columns=names)
        table.index.name = "path"
        return table

    def interval(
        self, path: str, level: float = 0.95, method: str = "standard"
    ) -> tuple[float | None, float | None]:
        """Interval of a fitted number.

        Args:
            path: A path of `estimates` or `starts`.
            level: Probability.
            method: `standard`, from the standard error (linear in the logarithm for rates and
                other positive numbers), or `profile`, from the likelihood, whose ends may be open.

        Raises:
            UnknownNameError: For a path that was not free.
            DataError: For a level outside 0-1, or no degree of freedom.

        Returns:
            Low and high end; None where there is none.
        """
        self._check(path)
        level = finite("level", level, "a probability between 0 and 1")
        if word("method", method, ("standard", "profile")) == "profile":
            low, high = self._core.profile(path, level)
            return low, high
        found = self._core.interval(path, level)
        return (found[0], found[1]) if found is not None else (None, None)

    def profile(self, path: str, level: float = 0.95) -> tuple[float | None, float | None]:
        """Interval from the profile likelihood; None on a side that the data leave open."""
        return self.interval(path, level, method="profile")

    def correlation(self, starts: bool = False) -> pd.DataFrame:
        """Correlations of the estimates; NaN where one has no standard error.

        Args:
            starts: Also of what baths held at the start.
        """
        every = truth("starts", starts)
        return self._square(self.correlations, len(self.names if every else self.estimates))

    def _square(self, values: NDArray[np.float64], count: int) -> pd.DataFrame:
        import pandas as pd

        names, shown = self.names[:count], values[:count, :count].copy()
        frame: pd.DataFrame = pd.DataFrame(shown, index=names, columns=names)
        return frame

    @overload
    def predict(self, settings: Mapping[str, float | str]) -> Prediction: ...
    @overload
    def predict(self, settings: pd.DataFrame) -> pd.DataFrame: ...
    def predict(
        self, settings: Mapping[str, float | str] | pd.DataFrame
    ) -> Prediction | pd.DataFrame:
        """What a run would show, with the band of its mean and that of one more run.

        A setting that no data varied, or not so far, is a flag of the result and a
        `BathkinWarning`: what it does is the recipe's, and in neither band.

        Args:
            settings: Values by name, as the columns of runs are headed: settings of the recipe, a
                time for a thickness in place of a rate, an area for a bath left alone with it. Or
                a pandas table with a setting in each column and a run in each row; an empty cell
                says nothing.

        Returns:
            A prediction; for a table, a table with the same index: `quantity`, `value`, ends of the
            bands `confidence_low`, `confidence_high`, `prediction_low` and `prediction_high` (NaN
            where there is none).

        Raises:
            DataError: When it depends on what the data do not determine.
        """
        import pandas as pd

        if isinstance(settings, pd.DataFrame):
            return self._predicted(settings)
        if not isinstance(settings, Mapping):
            raise DataError("predict: expected a dictionary of settings, {'temperature_c': 85}")
        run = [setting(name, value, "predict") for name, value in settings.items()]
        found = self._core.predict(run)
        warn(found.flags)
        return found

    def _predicted(self, table: pd.DataFrame) -> pd.DataFrame:
        import pandas as pd

        rows = []
        for _, row in table.iterrows():
            found = self.predict({str(name): value for name, value in row.dropna().items()})
            bands = (found.confidence, found.prediction or (np.nan, np.nan))
            rows.append((found.quantity, found.value, *bands[0], *bands[1]))
        ends = [f"{band}_{end}" for band in ("confidence", "prediction") for end in ("low", "high")]
        frame: pd.DataFrame = pd.DataFrame(
            rows, index=table.index, columns=["quantity", "value", *ends]
        )
        return frame

    def course(self, log: str | int = 0, points: int = 300) -> pd.DataFrame:
        """The fitted bath along a log, between its rows too, as a pandas table over `time_h`.

        Args:
            log: Name of the log, or its number among `data`.
            points: Times, evenly spread; each addition brings one more.

        Raises:
            UnknownNameError: For a name that no data have.
            DataError: For runs.
        """
        import pandas as pd

        count = whole("points", points, least=2, most=MOST_POINTS)
        columns = self._core.course(self._sheet(log), count)
        frame: pd.DataFrame = pd.DataFrame(columns)
        return frame

    def log_posterior(self, values: ArrayLike) -> NDArray[np.float64] | float:
        """Logarithm of the posterior density at numbers of the recipe, up to a constant.

        Args:
            values: One for each of `estimates` and `starts`, in order; or a row of them for each
                point. Minus infinity outside the bounds and where the recipe refuses.

        Raises:
            DataError: For too few or too many values.
        """
        try:
            points = np.asarray(values, dtype=float)
        except (TypeError, ValueError, OverflowError) as error:
            raise DataError(f"values = {shown(values)}: expected numbers") from error
        if points.ndim > 2:
            raise DataError(f"values have the shape {points.shape}: expected a row for each point")
        found = self._core.log_posterior(np.atleast_2d(points))
        return found if points.ndim == 2 else float(found[0])

    def recipe(self, labels: Mapping[str, str] | None = None) -> Recipe:
        """The recipe with the fitted numbers, each of kind `fitted`, with data and standard error.

        `recipe().text` is the document, to be written to a file.

        Args:
            labels: Where a column groups a number (`per`), which of its values the recipe gets, as
                column to label: `{"line": "A"}`.

        Raises:
            DataError: For a number with several values and no label that says which.
        """
        files = ", ".join(f"{sheet.file} ({sheet.digest})" for sheet in self.data)
        asked = {} if labels is None else labels
        by_column = named("labels", asked, "a dictionary, column to label")
        chosen = [(column, str(label)) for column, label in by_column.items()]
        return Recipe(self._core.fitted_recipe(files, chosen))

    def _sheet(self, which: str | int) -> int:
        names = names_of(self.data)
        if isinstance(which, int) and 0 <= which < len(names):
            return which
        if isinstance(which, str) and which in names:
            return names.index(which)
        message = f"no data are called {shown(which)}; there are: {', '.join(names)}"
        raise UnknownNameError(message, name=str(which), valid=names)

    def _check(self, path: str) -> None:
        names = self.names
        if word("path", path) not in names:
            near = get_close_matches(path, names, 3)
            hint = f"; did you mean {' or '.join(near)}?" if near else ""
            message = f"{path} was not free{hint}; these were: {', '.join(names)}"
            raise UnknownNameError(message, name=path, valid=names)
