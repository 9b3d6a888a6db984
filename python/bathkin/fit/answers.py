"""What a fit answers, as small records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from bathkin.core.flags import Flag
from bathkin.core.result import Result

if TYPE_CHECKING:
    import pandas as pd

# What is told of every measured value.
MEASURED = {
    "column": np.dtype(object),
    "file": np.dtype(object),
    "row": np.dtype(int),
    "observed": np.dtype(float),
    "below": np.dtype(bool),
    "calculated": np.dtype(float),
    "residual": np.dtype(float),
    "standardised_residual": np.dtype(float),
    "leverage": np.dtype(float),
}


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Prediction(Result):
    """What a run would show.

    Attributes:
        quantity: `deposition_um_h`, or `thickness_um` for a run with a time.
        value: Calculated value.
        confidence: Where the true mean lies, 95 %.
        prediction: Where one further run lies, 95 %; None where runs have a sigma each.
        flags: Settings that the data never varied, or not so far; they are in neither band.
        held_numbers: Numbers that were not fitted and are invented or widely uncertain (`path`,
            `value`, `kind`, `range`), with the per cent by which 10 % more of each moves the value
            (`moved`), the strongest first.
    """

    _title: ClassVar[str] = "Prediction"

    quantity: str
    value: float
    confidence: list[float]
    prediction: list[float] | None
    flags: list[Flag]
    held_numbers: list[dict[str, Any]]

    def _shown(self) -> list[tuple[str, str]]:
        """The bands, the flags, and the number held that matters most."""
        shown = [*Result._shown(self), *(("flag", str(flag)) for flag in self.flags)]
        if self.held_numbers and self.held_numbers[0]["moved"] is not None:
            first = self.held_numbers[0]
            text = f"10 % more of {first['path']} moves it by {first['moved']:+.2g} %"
            shown.append(("held", text))
        return shown


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ColumnErrors(Result):
    """Errors of a measured column as the fit takes them.

    Attributes:
        column: The column.
        values: How many values it has.
        stated: `model`, and its standard deviations as stated or by default.
        own_sigmas: Whether every value has a standard deviation of its own in place of that.
        size: Times so much, as estimated from the residuals; 1 where the sigmas are absolute.
        absolute_sigma: Standard deviation in the unit of the column, of mixed errors at zero; None
            where each value has its own.
        relative_sigma: Relative standard deviation.
    """

    _title: ClassVar[str] = "Errors"

    column: str
    values: int
    stated: dict[str, Any]
    own_sigmas: bool
    size: float
    absolute_sigma: float | None
    relative_sigma: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PriorWeight(Result):
    """The weight of a prior in an estimate.

    Attributes:
        path: The number.
        mean: Mean of the prior; the median where the number is fitted on a log scale.
        standard_deviation: Its standard deviation.
        weight: How far the prior, and not the data, determines the number: 0 not at all, 1 alone.
        deviations: How far the estimate lies from the mean, in standard deviations of the prior.
    """

    _title: ClassVar[str] = "Prior"

    path: str
    mean: float
    standard_deviation: float
    weight: float
    deviations: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class FitBootstrap(Result):
    """A fit repeated on data that could have come instead. Made by `Fit.bootstrap`.

    Attributes:
        names: Fitted numbers, as in `estimates` and `starts`.
        draws: A list of their values for each repeat.
        standard_errors: Standard deviation of each over the repeats.
        intervals: 95 % interval of each, from the order of the repeats.
        failed: Repeats without a minimum; many of them make the intervals too narrow.
    """

    _title: ClassVar[str] = "Bootstrap"

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
