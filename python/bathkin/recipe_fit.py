"""Numbers of a recipe fitted to coupon runs and bath logs."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin import _core, fit_text, tables
from bathkin.arrhenius import Estimate
from bathkin.errors import DataError, UnknownNameError
from bathkin.fit_data import Readable, Sheets, given, names_of, sheets_of
from bathkin.fit_question import Question
from bathkin.logs import Log
from bathkin.recipe import Recipe
from bathkin.records import Record
from bathkin.runs import Runs
from bathkin.units import to_number

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

_MEASURED = {
    "column": np.dtype(object),
    "file": np.dtype(object),
    "row": np.dtype(int),
    "observed": np.dtype(float),
    "calculated": np.dtype(float),
    "residual": np.dtype(float),
    "standardised_residual": np.dtype(float),
    "leverage": np.dtype(float),
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


class ColumnErrors(Record):
    """Errors of a measured column as the fit takes them.

    Attributes:
        column: The column.
        values: How many values it has.
        stated: `model`, and its standard deviations as stated or by default.
        size: Times so much, as the residuals tell; 1 where they are believed.
        absolute_sigma: Standard deviation in the unit of the column, of mixed errors at zero.
        relative_sigma: Relative standard deviation.
    """

    _title = "Errors"

    column: str
    values: int
    stated: dict[str, Any]
    size: float
    absolute_sigma: float | None
    relative_sigma: float | None


class FitBootstrap(Record):
    """A fit repeated on data that could have come instead. Made by `Fit.bootstrap`.

    Attributes:
        names: Fitted numbers, as in `estimates` and `starts`.
        draws: A list of their values for each repeat.
        standard_errors: Standard deviation of each over the repeats.
        intervals: 95 % interval of each, from the order of the repeats.
        failed: Repeats without a minimum; many of them make the intervals too narrow.
    """

    _title = "Bootstrap"

    names: list[str]
    draws: list[list[float]]
    standard_errors: list[float]
    intervals: list[list[float]]
    failed: int

    def table(self) -> pd.DataFrame:
        """The repeats as a pandas table."""
        import pandas as pd

        frame: pd.DataFrame = pd.DataFrame(self.draws, columns=self.names)
        return frame


class Fit:
    """Numbers of a recipe fitted to data. Made by `bathkin.fit`.

    Attributes:
        start: The recipe the fit started from.
        data: Runs and logs.
        free: The paths that were fitted.
    """

    def __init__(self, start: Recipe, data: Sheets, question: Question) -> None:
        self.start = start
        self.data = data
        self.free = list(question.free)
        self._question = question
        self._core = _core.RecipeFit(start._core, given(data), question.as_json())
        self._document: dict[str, Any] = json.loads(self._core.document())

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
    def estimates(self) -> list[Estimate]:
        """Numbers of the recipe: value, standard error, 95 % interval and status.

        A number that a column parts has its label behind `@`.
        """
        return [Estimate(one) for one in self._document["estimates"]]

    @property
    def starts(self) -> list[Estimate]:
        """What baths held at the start of their logs: `start.nickel_g_l@log.csv` and the like."""
        return [Estimate(one) for one in self._document["starts"]]

    @property
    def errors(self) -> list[ColumnErrors]:
        """How large errors of each measured column are."""
        return [ColumnErrors(one) for one in self._document["columns"]]

    @property
    def error_model(self) -> str:
        """How errors were taken, in words."""
        return self._question.errors_in_words(self.data)

    @property
    def degrees_of_freedom(self) -> int:
        """Measured values less determined numbers."""
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
    def aicc(self) -> float | None:
        """Akaike's criterion for few rows; None where several columns told their own sizes."""
        criteria = self._document["criteria"]
        value: float | None = criteria["aicc"] if criteria else None
        return value

    @property
    def messages(self) -> list[dict[str, str]]:
        """What the data cannot tell and what to think of: `code` and `text`."""
        return [dict(message) for message in self._document["messages"]]

    @property
    def columns(self) -> dict[str, NDArray[Any]]:
        """Per measured value: column, file, row, observed, calculated, residual, leverage."""
        measured = self._document["measured"]
        return {
            name: np.array([one[name] for one in measured], dtype=kind)
            for name, kind in _MEASURED.items()
        }

    def residuals(self) -> pd.DataFrame:
        """The same as a pandas table; residuals are calculated less observed, in sigmas."""
        import pandas as pd

        frame: pd.DataFrame = pd.DataFrame(self.columns)
        return frame

    def table(self) -> pd.DataFrame:
        """The same as `residuals`."""
        return self.residuals()

    def interval(
        self, path: str, level: float = 0.95, method: str = "standard"
    ) -> tuple[float | None, float | None]:
        """Interval of a fitted number.

        Args:
            path: A path of `estimates` or `starts`.
            level: Probability.
            method: `standard`, from the standard error (straight in the logarithm for rates and
                other positive numbers), or `profile`, from the likelihood, whose ends may be open.

        Raises:
            UnknownNameError: For a path that was not free.
            DataError: For a level outside 0-1, or no degree of freedom.

        Returns:
            Low and high end; None where there is none.
        """
        self._check(path)
        if method == "profile":
            low, high = self._core.profile(path, level)
            return low, high
        if method != "standard":
            raise DataError(f"method = {method}: expected standard or profile")
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
        import pandas as pd

        count = len(self._document["names" if starts else "estimates"])
        names = self._document["names"][:count]
        values = np.array(self._document["correlation"], dtype=float)[:count, :count]
        frame: pd.DataFrame = pd.DataFrame(values, index=names, columns=names)
        return frame

    def predict(self, settings: Mapping[str, float | str]) -> Prediction:
        """What a run would show, with the band of its mean and that of one more run.

        Args:
            settings: Values by name, as in the table of runs: settings of the recipe, `time_min`
                for a thickness in place of a rate, `area_cm2` for a bath left alone with it.

        Raises:
            DataError: When it depends on what the data do not determine.
        """
        given = [
            (name, to_number("minutes" if name == "time_min" else name, value, "predict"))
            for name, value in settings.items()
        ]
        return Prediction(json.loads(self._core.predict(given)))

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

        found = json.loads(self._core.course(self._sheet(log), points))
        columns = {"time_h": found["time_h"], **dict(found["columns"])}
        frame: pd.DataFrame = pd.DataFrame(columns, dtype=float)
        return frame

    def bootstrap(
        self, replicates: int = 200, seed: int = 1, resampling: str = "residuals"
    ) -> FitBootstrap:
        """The fit repeated on data drawn again, for intervals that rest on no straight model.

        Args:
            replicates: How often.
            seed: The same seed gives the same answer.
            resampling: `residuals`, put onto calculated values; or `cases`, runs and samples with
                replacement, which believes neither model nor errors but needs many.

        Raises:
            DataError: With too little to draw from.
        """
        if resampling not in {"residuals", "cases"}:
            raise DataError(f"resampling = {resampling}: expected residuals or cases")
        if replicates < 2:
            raise DataError(f"replicates = {replicates}: expected at least 2")
        return FitBootstrap(
            json.loads(self._core.bootstrap(replicates, seed, resampling == "cases"))
        )

    def recipe(self) -> Recipe:
        """The recipe with the fitted numbers, each of kind `fitted`, with data and standard error.

        What a column parts stays as it was. `recipe().text` is the document, to be written to a
        file.
        """
        named = ", ".join(f"{sheet.file} ({sheet.digest})" for sheet in self.data)
        return Recipe(self._core.fitted_recipe(named))

    def update(self, more: Readable | Iterable[Readable]) -> Fit:
        """The same question asked of these data and more."""
        from bathkin.fit_call import asked

        return asked(self.start, [*self.data, *sheets_of(more)], self._question)

    def summary(self) -> str:
        """Estimates with intervals, errors, correlations and remarks, as a text."""
        return fit_text.summary(self)

    def as_dict(self) -> dict[str, Any]:
        """Everything in plain values, as `bathkin fit --json` prints it."""
        document = dict(self._document)
        document.pop("measured")
        names = [one["path"] for one in document["estimates"]]
        correlation = {
            name: dict(zip(names, document["correlation"][place], strict=False))
            for place, name in enumerate(names)
        }
        sheets = zip(self.data, names_of(self.data), strict=True)
        return {
            **document,
            "correlation": correlation,
            "error_model": self.error_model,
            **self.columns,
            "data": [
                {
                    "kind": "log" if isinstance(sheet, Log) else "runs",
                    "name": name,
                    "file": sheet.file,
                    "digest": sheet.digest,
                }
                for sheet, name in sheets
            ],
            "assumptions": [
                {"file": sheet.file, **one.as_dict()} for sheet in self.data for one in sheet.report
            ],
        }

    def plot(self, data: str | int | None = None) -> Figure:
        """What was measured beside what the fit gives, and the residuals.

        Args:
            data: Name of runs or a log, or its number among `data`. Runs show calculated against
                observed, a log every reading over time. Without one: the only one there is, or
                every column with all data.

        Raises:
            UnknownNameError: For a name that no data have.
        """
        from bathkin.fit_plot import plot_fit

        sheet = 0 if data is None and len(self.data) == 1 else data
        return plot_fit(self, None if sheet is None else self._sheet(sheet))

    def _sheet(self, which: str | int) -> int:
        names = names_of(self.data)
        if isinstance(which, int) and 0 <= which < len(names):
            return which
        if which in names:
            return names.index(str(which))
        message = f"no data are called {which}; there are: {', '.join(names)}"
        raise UnknownNameError(message, name=str(which), valid=names)

    def _check(self, path: str) -> None:
        names = self._document["names"]
        if path not in names:
            message = f"{path} was not free; these were: {', '.join(names)}"
            raise UnknownNameError(message, name=path, valid=names)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Fit) and self._document == other._document

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Fit, (self.start, self.data, self._question)

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        rows = [
            (one.path, f"{tables.number(one.value)} ± {tables.number(one.standard_error, 2)}")
            for one in [*self.estimates, *self.starts]
        ]
        return tables.html_card("Fit", rows)
