"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass

from bathkin.core.result import Result
from bathkin.core.results import Flag, Remark
from bathkin.fit.results import DateSpread, HeldNumber, Spread
from bathkin.life.results import GivenLimit, SolverStatistics


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Track(Result):
    """A bath followed along its log: where it stands, what is odd, when it must go.

    Attributes:
        now_h: Clock time of the last row from the first one, h.
        now: Its day and time, where the log has dates.
        standing: How the bath stands after the last row and what was added there.
        alarms: What asks for somebody now.
        findings: What is odd in the log, findings before looks.
        smallest_seen: The smallest additions nobody wrote down that this log would have shown.
        below_detection: Readings below detection, by columns: upper bounds.
        unknowns: What the recipe does not know of the bath, as the log tells it.
        titration_noise_pct: Relative standard deviation of a titration of the metal, %, as the log
            itself tells it where it is long enough.
        noise_is_estimated: Whether the log told it.
        dump: When the bath must go.
        first_limit: Which limit comes first, by name with its probability, the likeliest first;
            `none` for lives that reach none.
        passed: Limits that the bath is past now.
        next_analysis: What one more analysis now would do to the width of the date, the best
            first.
        members: How many members were followed to their end.
        beyond: Members that reached no limit in the longest time; they count as longer than any
            number.
        failed: Members whose life failed; they are in no spread.
        effort: Work of the members' lives, those that failed aside.
        first_failure: Why the first of them failed.
        ends_h: End of each member, h from the first row; `None` where it failed or reaches no
            limit.
        drawn: What was drawn for each member.
        held: What was held at what the recipe says.
        drawn_numbers: Numbers of the recipe that have a width, with the hours by which one
            standard deviation more of each moves the date, as far as the log has not told it. The
            strongest first; those that move it were drawn.
        held_numbers: Numbers of laws that were held though they are invented or widely uncertain,
            with the hours by which 10 % more of each from now on moves the date, the bath plating
            today as fast as the log says. The strongest first.
        rows: The log, row by row.
        ph_corrector: What following the measured pH took, where the recipe says `[log] ph = "as
            measured"`.
        ageing_forms: Ageing forms that were followed beside each other, with their weights.
        accepted: Additions nobody wrote down that were accepted and put in.
        flags: Warnings.
    """

    now_h: float
    now: str | None
    standing: list[Standing]
    alarms: list[Alarm]
    findings: list[Finding]
    smallest_seen: list[SmallestSeen]
    below_detection: list[BelowDetection]
    unknowns: list[UnknownEstimate]
    titration_noise_pct: float
    noise_is_estimated: bool
    dump: DumpDate
    first_limit: dict[str, float]
    passed: list[Passed]
    next_analysis: list[NextAnalysis]
    members: int
    beyond: int
    failed: int
    effort: SolverStatistics
    first_failure: Remark | None
    ends_h: list[float | None]
    drawn: list[str]
    held: list[str]
    drawn_numbers: list[DrawnNumber]
    held_numbers: list[HeldNumber]
    rows: list[TrackedRow]
    ph_corrector: PhCorrector | None
    ageing_forms: list[AgeingWeight]
    accepted: list[str]
    flags: list[Flag]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Standing(Result):
    """One reading of the bath today.

    Attributes:
        name: Name with its unit.
        title: Words for it.
        unit: Unit; empty for a pure number.
        value: At the mean.
        p10: Of ten members one lies below and one above.
        p90: See `p10`.
        set_point: Set-point, where it has one.
        pct_of_set_point: Value in per cent of the set-point.
        as_given: A content as those who run the bath say it: as its log, its limits or its make-up
            weigh it; none where that is how it stands here.
        analysed: Whether the log has readings of it.
        main: Whether it belongs on one screen: what is held, analysed, has a role, or tells how
            the bath plates.
    """

    name: str
    title: str
    unit: str
    value: float
    p10: float
    p90: float
    set_point: float | None
    pct_of_set_point: float | None
    as_given: GivenStanding | None
    analysed: bool
    main: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class GivenStanding(Result):
    """A content of the bath today in the words and the unit of those who run it.

    Attributes:
        words: What it is weighed as.
        unit: Unit.
        value: At the mean.
        p10: Of ten members one lies below and one above.
        p90: See `p10`.
        set_point: Set-point, where it has one.
    """

    words: str
    unit: str
    value: float
    p10: float
    p90: float
    set_point: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Alarm(Result):
    """Something that asks for somebody now.

    Attributes:
        code: What it is, by name: `metal_low`, `past_limit`, `limit_near`, `stabilizer`,
            `complexant`, `reading`.
        of: Of what.
        value: The value, in the unit of the bound.
        bound: The bound.
        text: In words.
    """

    code: str
    of: str
    value: float | None
    bound: float | None
    text: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Finding(Result):
    """What is odd.

    Attributes:
        code: What it is, by name: `unlogged_addition`, `less_added`, `forgotten_dose`,
            `outlying_reading`, `column_misread`, `added_too_much`, `added_too_little`, `strength`,
            `model_misses`.
        grade: How sure. One of `look`, `finding`.
        row: Row of the log, as its author counts; the addition is after it. None of the whole log.
        at_h: Clock time of that row from the first one, h.
        date: Its day and time, where the log has dates.
        of: Which reading or solution.
        size: Size: L of the solution, or what the reading is off by in its unit.
        size_sd: Standard deviation of the size.
        score: Score, in standard deviations.
        meant: The reading as it would be without the slip, where one explains it.
        text: In words.
    """

    code: str
    grade: str
    row: int | None
    at_h: float | None
    date: str | None
    of: str
    size: float | None
    size_sd: float | None
    score: float
    meant: float | None
    text: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SmallestSeen(Result):
    """The smallest addition of a solution that would have been seen.

    Attributes:
        solution: Which solution.
        look_l: Volume, L, seen in four of five cases as a look.
        finding_l: The same as a finding.
    """

    solution: str
    look_l: float
    finding_l: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class BelowDetection(Result):
    """Readings of a column that are below a limit of detection.

    Attributes:
        column: The column.
        readings: How many there are.
        less_than_expected: How many had less than was expected: readings of the limit, left out
            where that is wild. The others agree and tell nothing more.
    """

    column: str
    readings: int
    less_than_expected: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class UnknownEstimate(Result):
    """An unknown of the bath.

    Attributes:
        name: What it is.
        value: Estimate: of a factor its logarithm, of the electrode pH.
        sd: Standard deviation.
        prior_sd: That before the log.
        told: Whether the log tells more than half of it.
    """

    name: str
    value: float
    sd: float
    prior_sd: float
    told: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class DumpDate(Result):
    """When a bath must go.

    Attributes:
        clock_h: Time from the first row of the log, h.
        left_h: Time from the last row, h.
        date: Day, where the log has dates.
        turnovers: Metal turnovers by metal replenished, at the dump.
        area_left_m2: Area still to be plated, m2.
    """

    clock_h: Spread
    left_h: Spread
    date: DateSpread
    turnovers: Spread
    area_left_m2: Spread


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Passed(Result):
    """A limit that the bath is past.

    Attributes:
        limit: Name of the limit.
        value: Value today, in the unit of the name.
        bound: Bound.
        as_given: The same in the words and the unit it was set in.
        row: Row since which it is past.
        date: Its day, where the log has dates.
    """

    limit: str
    value: float
    bound: float
    as_given: GivenLimit
    row: int | None
    date: str | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class NextAnalysis(Result):
    """One more analysis.

    Attributes:
        of: Of what, with its unit.
        sd: Standard deviation it is taken to have, in that unit.
        width_removed_pct: How much of the width of the date it would take away, %.
        width_left_h: P90 less P10 that would be left, h; none where a tenth of the members reach
            no limit.
    """

    of: str
    sd: float
    width_removed_pct: float
    width_left_h: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class DrawnNumber(Result):
    """A number of the recipe that has a width.

    Attributes:
        path: Its path.
        value: Its value.
        one_sd_more: Its value one standard deviation above that.
        moved: By how many hours that moves the date of the bath at the mean, which plates today as
            fast, has lost as much of its rate and makes as much by-product as the log says; none
            where there is no date then.
        drawn: Whether each member has its own: one that moves the date by less than half a per
            cent of the time left is held, unless it was asked for.
    """

    path: str
    value: float
    one_sd_more: float
    moved: float | None
    drawn: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class TrackedRow(Result):
    """A row of the log.

    Attributes:
        row: Number, as its author counts.
        time_h: Clock time from the first row, h.
        metal_g_l: Metal believed after its readings, g/L.
        metal_sd_g_l: Its standard deviation.
        metal_after_additions_g_l: Metal believed after what was added at the row, g/L.
        by_product_mol_l: By-product believed, mol/L.
        by_product_sd_mol_l: Its standard deviation.
        ln_rate: Logarithm of the rate factor.
        ln_rate_sd: Its standard deviation.
        turnovers: Turnovers by metal replenished.
        ph_corrector_l: pH corrector that the measured pH took since the row before, L; below zero
            it stands for as much acid. None of the first row, and where the pH is compared.
        ph_corrector_logged_l: What the log has as added of it since then, L.
        readings: Every reading.
    """

    row: int
    time_h: float
    metal_g_l: float
    metal_sd_g_l: float
    metal_after_additions_g_l: float
    by_product_mol_l: float
    by_product_sd_mol_l: float
    ln_rate: float
    ln_rate_sd: float
    turnovers: float
    ph_corrector_l: float | None
    ph_corrector_logged_l: float | None
    readings: list[TrackedReading]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class TrackedReading(Result):
    """A reading of a row.

    Attributes:
        column: Which column.
        component: The component it is a content of.
        value: What was read.
        expected: What was expected before any of the row.
        standardised: How far it is off, in standard deviations of what is expected.
        taken: Whether it was taken: a wild one is left out.
    """

    column: str
    component: str | None
    value: float
    expected: float
    standardised: float
    taken: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PhCorrector(Result):
    """What following a measured pH took of the pH corrector; litres below zero stand for acid.

    Attributes:
        name: Its name.
        needed_l: From the first row to the last, L.
        sd_l: Standard deviation of that.
        logged_l: What the log has as added of it in this time, L, where it has a column for it.
        turnovers: Metal turnovers in this time, by metal replenished.
        per_turnover_l: For each of them, L; none where no metal was replenished.
        by_turnover: Turnover by turnover.
    """

    name: str
    needed_l: float
    sd_l: float
    logged_l: float | None
    turnovers: float
    per_turnover_l: float | None
    by_turnover: list[CorrectorOfTurnover]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class CorrectorOfTurnover(Result):
    """The same in one turnover.

    Attributes:
        turnover: Which, the first of the bath being 1.
        part: How much of it the log covers, of 1.
        needed_l: What it took, L.
        logged_l: What the log has as added, L.
    """

    turnover: int
    part: float
    needed_l: float
    logged_l: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class AgeingWeight(Result):
    """A form of ageing with its weight.

    Attributes:
        form: `of_recipe` or `exponential`.
        ln_likelihood: Logarithm of its likelihood.
        weight: Share of the members.
    """

    form: str
    ln_likelihood: float
    weight: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Backtest(Result):
    """Forecasts of a log whose tail was hidden.

    Attributes:
        came_h: When the bath was dumped, h from the first row.
        came_by: `dumped` where that is told; `whole_log`: the P50 of the whole log.
        cuts: Each forecast.
        coverage: Share of the forecasts whose P10 to P90 holds it; eight of ten are right.
        crps_h: Mean CRPS, h.
        lines_h: Mean error of the straight lines, h; none where they never reach a limit.
        last_bath_h: Error of the life of the last bath, h.
    """

    came_h: float
    came_by: str
    cuts: list[BacktestCut]
    coverage: float
    crps_h: float
    lines_h: float | None
    last_bath_h: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class BacktestCut(Result):
    """A forecast from the first rows.

    Attributes:
        rows: Rows that were seen.
        at_h: Time of the last of them, h.
        p10_h: One of ten members has ended by then, h from the first row; none where so many
            outlive the longest.
        p50_h: The median.
        p90_h: Nine of ten.
        inside: Whether P10 to P90 holds what came.
        crps_h: CRPS, h.
        lines_h: Where straight lines through the readings come to a limit first, h from the first
            row.
    """

    rows: int
    at_h: float
    p10_h: float | None
    p50_h: float | None
    p90_h: float | None
    inside: bool
    crps_h: float
    lines_h: float | None
