"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from bathkin.core.result import Result
from bathkin.core.results import Flag, Remark
from bathkin.life.results import Dump


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ArrheniusFit(Result):
    """What a table says about an Arrhenius law.

    Attributes:
        activation_energy_kj_mol: Ea, kJ/mol.
        ln_k_ref: ln k at the reference temperature, k in the unit of the data.
        k_ref: k at the reference temperature, in the unit of the data; the interval is that of ln
            k.
        reference_temperature_k: Reference temperature, K.
        ln_a: ln A, the intercept at infinite temperature.
        correlation_ln_a_ea: Correlation of ln A and Ea: next to one, so state k_ref, not A.
        covariance: Covariance of (ln k_ref, Ea in kJ/mol), row by row; `None` without a degree of
            freedom.
        degrees_of_freedom: Rows less parameters.
        residual_sd_ln_k: Root mean square of the residuals of ln k over the degrees of freedom.
        curvature_t: t value of a quadratic term in 1/T, without outlying rows; `None` with too few
            rows, or computed ones.
        curvature_p: Its two-sided probability were the law a line: below 0.001 it is not, over
            this range.
        outlying_rows: Rows that lie off what the others say.
        direct: The fit in k itself, with errors of one size in its unit.
        remarks: What limits its use.
    """

    activation_energy_kj_mol: Estimate
    ln_k_ref: Estimate
    k_ref: Estimate
    reference_temperature_k: float
    ln_a: Estimate
    correlation_ln_a_ea: float
    covariance: tuple[tuple[float, float], tuple[float, float]] | None
    degrees_of_freedom: int
    residual_sd_ln_k: float | None
    curvature_t: float | None
    curvature_p: float | None
    outlying_rows: list[OutlyingRow]
    direct: DirectFit | None
    remarks: list[Remark]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Estimate(Result):
    """A parameter with its uncertainty, or the reason there is none.

    Attributes:
        path: What it is of, with its unit.
        value: Value.
        standard_error: Standard error; `None` when the data leave no degree of freedom.
        interval95: 95 % interval from the t distribution.
        status: `ok`, or why there is no uncertainty.
    """

    path: str
    value: float
    standard_error: float | None
    interval95: tuple[float, float] | None
    status: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class OutlyingRow(Result):
    """A row that lies off the line of the others.

    Attributes:
        row: Row, counted from 1.
        studentised_residual: Externally studentised residual, ln k observed less calculated.
        p_value: Its two-sided probability times the number of rows (Bonferroni).
    """

    row: int
    studentised_residual: float
    p_value: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class DirectFit(Result):
    """The fit in k itself.

    Attributes:
        activation_energy_kj_mol: Ea, kJ/mol.
        standard_error: Its standard error; `None` without a degree of freedom.
        k_ref: k at the reference temperature, in the unit of the data.
        ln_a: ln A.
        aic_absolute_less_relative: Criterion of Akaike of absolute errors less that of relative
            ones; positive where the scatter is relative. `None` where a fit meets its rows
            exactly.
    """

    activation_energy_kj_mol: float
    standard_error: float | None
    k_ref: float
    ln_a: float
    aic_absolute_less_relative: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Fit(Result):
    """What a fit found.

    Attributes:
        estimates: Numbers of the recipe.
        starts: What baths held at the start of their logs.
        names: Paths of both, in this order.
        correlations: Correlations of both, a row for each; not a number where one has no standard
            error.
        prior_weights: The weight of each prior in its estimate.
        errors: How large errors of each measured column are.
        measured: Measured values beside the calculated ones.
        random_effects: Which runs belong together, how far groups differ, and how far each is off;
            none without groups.
        sigma: Whether the standard deviations were absolute. One of `known`, `estimated`.
        degrees_of_freedom: Measured values less determined numbers.
        scatter: Standard deviation of the residuals in units of sigma, of the logarithm for
            relative errors; none without a degree of freedom.
        ndata: Measured values, priors not counted.
        nvarys: Free parameters.
        nfree: Residual degrees of freedom: values less determined parameters, or what priors leave
            of them.
        nfev: Evaluations of the model in the last search.
        chisqr: χ2: sum of squares of the residuals of the measured values, in sigmas.
        redchi: χ2/nfree; `None` without a degree of freedom.
        llf: ln L; `None` with priors, with a robust loss, for a perfect fit of estimated errors,
            and where the error variances of several columns were estimated, or that of values
            below a limit.
        aic: Akaike's criterion.
        bic: Schwarz's criterion.
        covariance: Covariance of both in the recipe's units, a row for each: to first order for
            those fitted on a log scale; not a number where one has no standard error.
        sum_of_squares: Sum of squares of all residuals, those of priors too.
        criteria: Information criteria; none with priors, with a robust loss, and where the error
            variances of several columns were estimated.
        lack_of_fit: F test of the model against replicates; none without any.
        evaluations: Evaluations of the model in the last search.
        failures: Of these, evaluations that failed.
        search: How far the search for the minimum went.
        remarks: What the data do not determine, what was assumed, and what to do about it.
        misfit: Those of the remarks that say that the model misses the data; empty in a sound fit.
    """

    _ARRAYS: ClassVar = frozenset({"correlations", "covariance"})

    estimates: list[PathEstimate]
    starts: list[PathEstimate]
    names: list[str]
    correlations: NDArray[np.float64]
    prior_weights: list[PriorWeight]
    errors: list[ColumnErrors]
    measured: MeasuredColumns
    random_effects: RandomEffects | None
    sigma: str
    degrees_of_freedom: int
    scatter: float | None
    ndata: int
    nvarys: int
    nfree: int
    nfev: int
    chisqr: float
    redchi: float | None
    llf: float | None
    aic: float | None
    bic: float | None
    covariance: NDArray[np.float64]
    sum_of_squares: float
    criteria: Criteria | None
    lack_of_fit: LackOfFit | None
    evaluations: int
    failures: int
    search: SearchSettings
    remarks: list[Remark]
    misfit: list[Remark]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PathEstimate(Result):
    """A fitted number of the recipe.

    Attributes:
        path: Its path; with the label behind `@` where it is grouped, and `start.<column>@<file>`
            for what a bath held at the start of a log.
        value: Value.
        standard_error: Standard error, to first order, or `None`.
        interval95: 95 % interval: symmetric in the logarithm where `scale` is `log`.
        degrees_of_freedom: Degrees of freedom of that interval: of Student's t; none where it is
            normal, and where there is none.
        status: `ok`; `not_determined` where zero lies in the interval of an energy, an order or an
            exponent; or the code of why there is no uncertainty.
        scale: The scale it was fitted on. One of `log`, `linear`.
        start: Value in the recipe.
    """

    path: str
    value: float
    standard_error: float | None
    interval95: tuple[float, float] | None
    degrees_of_freedom: float | None
    status: str
    scale: str
    start: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PriorWeight(Result):
    """The weight of a prior in an estimate.

    Attributes:
        path: The number.
        mean: Mean of the prior, in the recipe's unit.
        standard_deviation: Its standard deviation, in the recipe's unit.
        weight: Prior weight: how far the prior, and not the data, determines the number, 0 not at
            all, 1 alone.
        deviations: How far the estimate lies from the mean, in standard deviations of the prior.
    """

    path: str
    mean: float
    standard_deviation: float
    weight: float
    deviations: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ColumnErrors(Result):
    """Errors of a column as the fit takes them.

    As stated, times the size estimated from the residuals.

    Attributes:
        column: The column.
        values: How many values it has.
        stated: Errors as stated.
        own_sigmas: Whether every value has a standard deviation of its own in place of that.
        size: Times so much; one where they are absolute.
        absolute_sigma: Standard deviation of every value (at zero, for mixed errors), in the unit
            of the column; `None` where each has its own.
        relative_sigma: Relative standard deviation.
    """

    column: str
    values: int
    stated: ErrorModel
    own_sigmas: bool
    size: float
    absolute_sigma: float | None
    relative_sigma: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ErrorModel(Result):
    """How errors of a column are distributed.

    With y observed, f calculated, and s the size of the errors where it is to be estimated (else
    one):

    Attributes:
        model:
        sigma: Standard deviation, in that unit.
        absolute: Standard deviation at zero.
        relative: Relative standard deviation far from zero.
    """

    model: str
    sigma: float | None = None
    absolute: float | None = None
    relative: float | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class MeasuredColumns(Result):
    """All measured values beside the calculated ones, by columns.

    Attributes:
        column: The column of each.
        file: Its sheet.
        row: Number of its row as the author counts.
        observed: The value, or the limit of detection that it was below.
        below: Whether it was.
        calculated: What the fit gives.
        residual: (observed - calculated)/sigma, or ln(observed/calculated)/sigma for relative
            errors.
        standardised_residual: Residual over its own standard deviation; not a number where the
            value is met whatever it says.
        leverage: Share of the value in its own calculated one, 0-1.
    """

    _ARRAYS: ClassVar = frozenset(
        {
            "observed",
            "calculated",
            "residual",
            "standardised_residual",
            "leverage",
        }
    )

    column: list[str]
    file: list[str]
    row: list[int]
    observed: NDArray[np.float64]
    below: list[bool]
    calculated: NDArray[np.float64]
    residual: NDArray[np.float64]
    standardised_residual: NDArray[np.float64]
    leverage: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class RandomEffects(Result):
    """Which runs belong together, and what that does.

    Attributes:
        labels: The labels, the coarser first.
        unit: Unit of the effects: `relative`, of the logarithm (0.05 is 5 %), or the column
            measured, of values in its unit.
        components: Standard deviations between groups of each label, and within; without the last
            where sigmas are absolute.
        groups: Each group.
    """

    labels: list[str]
    unit: str
    components: list[VarianceComponent]
    groups: GroupEffects


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class VarianceComponent(Result):
    """How far groups of a label are off each other, or runs within one.

    Attributes:
        name: The label, or `within`.
        count: How many groups it has, or runs there are.
        standard_deviation: Standard deviation.
        interval95: 95 % interval from the profile of the restricted likelihood; from few groups it
            is wide, and from zero where groups need not differ at all.
        unit: `relative`, of the logarithm (0.05 is 5 %); the column measured, of values in its
            unit; or `sigma`, times the standard deviation of each run.
    """

    name: str
    count: int
    standard_deviation: float
    interval95: tuple[float, float] | None
    unit: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class GroupEffects(Result):
    """How far each group is off, by columns.

    Attributes:
        label: The label of each group.
        group: Its name.
        runs: Its runs.
        effect: How far observed values lie above the model, shrunken towards zero the more the
            fewer runs tell it.
        standard_error: Standard error of that; takes the standard deviation between groups as
            known.
    """

    _ARRAYS: ClassVar = frozenset({"effect", "standard_error"})

    label: list[str]
    group: list[str]
    runs: list[int]
    effect: NDArray[np.float64]
    standard_error: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Criteria(Result):
    """Criteria of a fit; the smaller one is preferred.

    Only differences between fits of the same rows with the same sigma and scale mean something:
    the constant Σ ln(2π sigma2) is left out.

    Attributes:
        aicc: Akaike's, corrected for few rows; `None` when there are too few for it.
        bic: Schwarz's; `None` for a perfect fit with estimated scale.
        counted: Parameters counted: determined combinations, and one for an estimated scale.
    """

    aicc: float | None
    bic: float | None
    counted: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class LackOfFit(Result):
    """The test.

    Attributes:
        lack_sum_of_squares: Sum of squares of group means about the model.
        lack_degrees_of_freedom: Groups less determined parameters.
        pure_error_sum_of_squares: Sum of squares of replicates about their group means.
        pure_error_degrees_of_freedom: Rows less groups.
        f_ratio: Ratio of the two mean squares.
        p_value: Probability of a larger ratio were the model right.
    """

    lack_sum_of_squares: float
    lack_degrees_of_freedom: int
    pure_error_sum_of_squares: float
    pure_error_degrees_of_freedom: int
    f_ratio: float
    p_value: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SearchSettings(Result):
    """How far the search for the minimum went.

    Attributes:
        gradient_tolerance: Largest cosine between the residuals and a column of their derivatives
            at the minimum.
        decrease_tolerance: Smallest part of the sum of squares worth another step.
        step_tolerance: Smallest step, as part of the parameters.
        resolution: Relative error of the sum of squares.
        rank_tolerance: Singular values below this part of the largest count as zero.
        max_evaluations: Most evaluations of the residuals.
    """

    gradient_tolerance: float
    decrease_tolerance: float
    step_tolerance: float
    resolution: float
    rank_tolerance: float
    max_evaluations: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Prediction(Result):
    """What a run would show, with both bands.

    Attributes:
        quantity: `deposition_um_h`, or `thickness_um` for a run with a time.
        value: Calculated value.
        confidence: Where the true mean lies.
        prediction: Where one further run lies; `None` where every run has a sigma of its own, or
            nothing of the kind was measured.
        flags: Settings that the data never varied, or not so far: what they do is the recipe's,
            and in neither band.
        held_numbers: Numbers that were never fitted and are invented or widely uncertain, with the
            per cent by which ten per cent more of each changes the value, the strongest first;
            those that do not change it are left out.
    """

    quantity: str
    value: float
    confidence: tuple[float, float]
    prediction: tuple[float, float] | None
    flags: list[Flag]
    held_numbers: list[HeldNumber]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class HeldNumber(Result):
    """A number that was held, though it is invented or widely uncertain.

    Attributes:
        path: Its path.
        value: Its value.
        kind: Where it comes from. One of `published`, `standard`, `common-practice`,
            `from-memory`, `fitted`, `computed`, `estimated`, `read-untraceable`, `invented`,
            `user`.
        range: Range the recipe's author vouches for.
        moved: By how much 10 % more of it changes the result: hours of the dump, or per cent of a
            prediction; `None` where the result cannot be computed then, or is not reached in the
            longest time.
    """

    path: str
    value: float
    kind: str | None
    range: tuple[float, float] | None
    moved: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Bootstrap(Result):
    """Replicates of a fit.

    Attributes:
        names: Names of the parameters.
        draws: Parameters of each replicate that converged, a row for each.
        standard_errors: Standard deviation of each parameter over the draws.
        intervals: Percentile interval of each parameter at the level of the fit.
        failed: Replicates that did not converge. Many of them make the intervals too narrow.
    """

    _ARRAYS: ClassVar = frozenset({"draws", "standard_errors"})

    names: list[str]
    draws: NDArray[np.float64]
    standard_errors: NDArray[np.float64]
    intervals: list[tuple[float, float]]
    failed: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Posterior(Result):
    """Weighted draws of the posterior.

    Attributes:
        paths: The numbers, as in `estimates` and `starts` of the fit.
        draws: Draws, a row each with a value for every path, in the recipe's units.
        weights: Weight of each; they add up to one.
        equal: Places of draws of equal weight, as many as all are worth, for what takes no
            weights.
        log_posterior: Logarithm of the posterior density of each, up to a constant.
        marginals: Mean, standard deviation, median and 95 % interval of each number.
        effective: How many independent draws they are worth.
        trusted: Whether they may be trusted: means over the weights converge.
        pareto_k: Shape of the tail of the weights.
        largest_trusted_k: The largest shape with which they may be trusted.
        mended: How often the proposal was mended before.
        evaluations: How often the model was computed.
        remarks: What is to be said of them.
    """

    _ARRAYS: ClassVar = frozenset({"draws", "weights", "log_posterior"})

    paths: list[str]
    draws: NDArray[np.float64]
    weights: NDArray[np.float64]
    equal: list[int]
    log_posterior: NDArray[np.float64]
    marginals: list[Marginal]
    effective: float
    trusted: bool
    pareto_k: float
    largest_trusted_k: float
    mended: int
    evaluations: int
    remarks: list[Remark]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Marginal(Result):
    """One number of a posterior.

    Attributes:
        path: Which number.
        mean: Mean.
        standard_deviation: Standard deviation.
        median: Median.
        interval95: Ends between which the middle 95 % lie.
    """

    path: str
    mean: float
    standard_deviation: float
    median: float
    interval95: tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class NextRuns(Result):
    """Runs to make next.

    Attributes:
        runs: The runs, the most informative first.
        expected: What they would make of every free number of the recipe.
        remarks: What limits the choice.
    """

    runs: list[NextRun]
    expected: list[ExpectedEstimate]
    remarks: list[Remark]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class NextRun(Result):
    """A run to make.

    Attributes:
        settings: Its settings.
        quantity: What it would measure: `deposition_um_h`, or `thickness_um` for a run with a
            time.
        expected: What it would show.
        gain: Rise of ln det of the information, or fall of ln of the variance, after the runs
            before it; `None` where it makes known what was not.
    """

    settings: dict[str, float]
    quantity: str
    expected: float
    gain: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ExpectedEstimate(Result):
    """What is expected of a number.

    Attributes:
        path: Its path.
        value: Its value now.
        standard_error: Standard error now, in the recipe's unit; `None` where it has none.
        half_width95: Half-width of the 95 % interval now, to first order.
        standard_error_after: Standard error with the runs.
        half_width95_after: Half-width of the 95 % interval with them.
        newly_determined: Not determined now, determined with the runs.
    """

    path: str
    value: float
    standard_error: float | None
    half_width95: float | None
    standard_error_after: float | None
    half_width95_after: float | None
    newly_determined: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Forecast(Result):
    """Simulated bath lives, sampled from the fit.

    Attributes:
        draws: Lives asked for.
        dump: When it will be dumped.
        first_limit: Which limit comes first, by name with its probability, the likeliest first;
            `none` for lives that reach none.
        beyond: Lives that reached no limit in the longest time; they count as longer than any
            number.
        longest_clock_h: The longest time that a life is followed, h.
        failed: Draws that the recipe or the simulation refuses; they are in no spread, so that
            many make it too narrow.
        first_failure: Why the first of them failed.
        at_estimates: The life at the estimates, as if they were exact: nothing else is drawn, so
            it has no spread.
        date_at_estimates: Its day; none where nothing is known of the make-up.
        flags: Warnings that go with that life.
        held: Fitted numbers without an uncertainty, the same in every life.
        held_numbers: Numbers that were never fitted and are invented or widely uncertain, with the
            hours by which ten per cent more of each changes the dump, the strongest first.
        lives: The life of each draw, in order; `None` where it failed.
        remarks: What limits the forecast, then the remarks of the fit.
    """

    draws: int
    dump: DumpForecast
    first_limit: dict[str, float]
    beyond: int
    longest_clock_h: float
    failed: int
    first_failure: Remark | None
    at_estimates: Dump
    date_at_estimates: str | None
    flags: list[Flag]
    held: list[str]
    held_numbers: list[HeldNumber]
    lives: list[Dump | None]
    remarks: list[Remark]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class DumpForecast(Result):
    """When a bath will be dumped, as a spread of lives.

    Attributes:
        clock_h: Time since make-up, h.
        plating_h: Time with work in the tank, h.
        turnovers: Metal turnovers by metal replenished.
        area_m2: Area plated, m2.
        date: Day, and within two days of the make-up the time, where that is known.
    """

    clock_h: Spread
    plating_h: Spread
    turnovers: Spread
    area_m2: Spread
    date: DateSpread


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Spread(Result):
    """What one, five and nine of ten lives lie below; none where that many outlive the longest.

    Attributes:
        p10: One of ten.
        p50: The median.
        p90: Nine of ten.
    """

    p10: float | None
    p50: float | None
    p90: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class DateSpread(Result):
    """Days that one, five and nine of ten lives end by.

    None where that many outlive the longest, or nothing is known of the make-up.

    Attributes:
        p10: One of ten.
        p50: The median.
        p90: Nine of ten.
    """

    p10: str | None
    p50: str | None
    p90: str | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ModelComparison(Result):
    """Models side by side.

    Attributes:
        ranked: The table, the smallest AICc first.
        refused: Candidates that cannot be ranked, by name, and why.
        remarks: What it comes to.
    """

    ranked: list[RankedModel]
    refused: dict[str, Remark]
    remarks: list[Remark]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class RankedModel(Result):
    """A line of the table.

    Attributes:
        name: What the model is called.
        counted: k: determined combinations of its parameters, and one for an estimated scale.
        chi_squared: χ2: its sum of squares.
        aicc: AICc.
        delta: Δ.
        weight: Weight.
        cross_validation_rms: Root mean square of its prediction residuals.
        support: What that comes to. One of `best`, `cannot_be_told_apart`, `less`, `none`,
            `not_ranked`.
    """

    name: str
    counted: int
    chi_squared: float
    aicc: float | None
    delta: float | None
    weight: float | None
    cross_validation_rms: float | None
    support: str
