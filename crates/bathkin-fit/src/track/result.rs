//! What following a bath along its log tells.

use schemars::JsonSchema;
use serde::Serialize;

use bathkin::Remark;
use bathkin::flag::Flag;
use bathkin::life::SolverStatistics;

use crate::predict::held::HeldNumber;
use crate::predict::spread::{DateSpread, Spread};
use crate::track::finding::{Finding, SmallestSeen};

/// A bath followed along its log: where it stands, what is odd, when it must go.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Track {
    /// Clock time of the last row from the first one, h.
    pub now_h: f64,
    /// Its day and time, where the log has dates.
    pub now: Option<String>,
    /// How the bath stands after the last row and what was added there.
    pub standing: Vec<Standing>,
    /// What asks for somebody now.
    pub alarms: Vec<Alarm>,
    /// What is odd in the log, findings before looks.
    pub findings: Vec<Finding>,
    /// The smallest additions nobody wrote down that this log would have shown.
    pub smallest_seen: Vec<SmallestSeen>,
    /// Readings below detection, by columns: upper bounds.
    pub below_detection: Vec<BelowDetection>,
    /// What the recipe does not know of the bath, as the log tells it.
    pub unknowns: Vec<UnknownEstimate>,
    /// Relative standard deviation of a titration of the metal, %, as the log itself tells it where it is long enough.
    pub titration_noise_pct: f64,
    /// Whether the log told it.
    pub noise_is_estimated: bool,
    /// When the bath must go.
    pub dump: DumpDate,
    /// Which limit comes first, by name with its probability, the likeliest first; `none` for lives that reach none.
    #[serde(serialize_with = "bathkin::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub first_limit: Vec<(String, f64)>,
    /// Limits that the bath is past now.
    pub passed: Vec<Passed>,
    /// What one more analysis now would do to the width of the date, the best first.
    pub next_analysis: Vec<NextAnalysis>,
    /// How many members were followed to their end.
    pub members: usize,
    /// Members that reached no limit in the longest time; they count as longer than any number.
    pub beyond: usize,
    /// Members whose life failed; they are in no spread.
    pub failed: usize,
    /// Work of the members' lives, those that failed aside.
    pub effort: SolverStatistics,
    /// Why the first of them failed.
    pub first_failure: Option<Remark>,
    /// End of each member, h from the first row; `None` where it failed or reaches no limit.
    pub ends_h: Vec<Option<f64>>,
    /// What was drawn for each member.
    pub drawn: Vec<String>,
    /// What was held at what the recipe says.
    pub held: Vec<String>,
    /// Numbers of the recipe that have a width, with the hours by which one standard deviation more of each moves the date, as far as
    /// the log has not told it. The strongest first; those that move it were drawn.
    pub drawn_numbers: Vec<DrawnNumber>,
    /// Numbers of laws that were held though they are invented or widely uncertain, with the hours by which 10 % more of
    /// each from now on moves the date, the bath plating today as fast as the log says. The strongest first.
    pub held_numbers: Vec<HeldNumber>,
    /// The log, row by row.
    pub rows: Vec<TrackedRow>,
    /// What following the measured pH took, where the recipe says `[log] ph = "as measured"`.
    pub ph_corrector: Option<PhCorrector>,
    /// Ageing forms that were followed beside each other, with their weights.
    pub ageing_forms: Vec<AgeingWeight>,
    /// Additions nobody wrote down that were accepted and put in.
    pub accepted: Vec<String>,
    /// Warnings.
    pub flags: Vec<Flag>,
}

/// Readings of a column that are below a limit of detection.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct BelowDetection {
    /// The column.
    pub column: String,
    /// How many there are.
    pub readings: usize,
    /// How many had less than was expected: readings of the limit, left out where that is wild. The others agree and tell nothing
    /// more.
    pub less_than_expected: usize,
}

/// A number of the recipe that has a width.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct DrawnNumber {
    /// Its path.
    pub path: String,
    /// Its value.
    pub value: f64,
    /// Its value one standard deviation above that.
    pub one_sd_more: f64,
    /// By how many hours that moves the date of the bath at the mean, which plates today as fast, has lost as much of its rate
    /// and makes as much by-product as the log says; none where there is no date then.
    pub moved: Option<f64>,
    /// Whether each member has its own: one that moves the date by less than half a per cent of the time left is held, unless
    /// it was asked for.
    pub drawn: bool,
}

/// Something that asks for somebody now.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Alarm {
    /// What it is, by name: `metal_low`, `past_limit`, `limit_near`, `stabilizer`, `complexant`, `reading`.
    pub code: &'static str,
    /// Of what.
    pub of: String,
    /// The value, in the unit of the bound.
    pub value: Option<f64>,
    /// The bound.
    pub bound: Option<f64>,
    /// In words.
    pub text: String,
}

/// One reading of the bath today.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Standing {
    /// Name with its unit.
    pub name: String,
    /// Words for it.
    pub title: String,
    /// Unit; empty for a pure number.
    pub unit: &'static str,
    /// At the mean.
    pub value: f64,
    /// Of ten members one lies below and one above.
    pub p10: f64,
    /// See `p10`.
    pub p90: f64,
    /// Set-point, where it has one.
    pub set_point: Option<f64>,
    /// Value in per cent of the set-point.
    pub pct_of_set_point: Option<f64>,
    /// A content as those who run the bath say it: as its log, its limits or its make-up weigh it; none where that is how it
    /// stands here.
    pub as_given: Option<GivenStanding>,
    /// Whether the log has readings of it.
    pub analysed: bool,
    /// Whether it belongs on one screen: what is held, analysed, has a role, or tells how the bath plates.
    pub main: bool,
}

/// A content of the bath today in the words and the unit of those who run it.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct GivenStanding {
    /// What it is weighed as.
    pub words: String,
    /// Unit.
    pub unit: String,
    /// At the mean.
    pub value: f64,
    /// Of ten members one lies below and one above.
    pub p10: f64,
    /// See `p10`.
    pub p90: f64,
    /// Set-point, where it has one.
    pub set_point: Option<f64>,
}

/// An unknown of the bath.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct UnknownEstimate {
    /// What it is.
    pub name: String,
    /// Estimate: of a factor its logarithm, of the electrode pH.
    pub value: f64,
    /// Standard deviation.
    pub sd: f64,
    /// That before the log.
    pub prior_sd: f64,
    /// Whether the log tells more than half of it.
    pub told: bool,
}

/// When a bath must go.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "DumpDate")]
pub struct DumpDate {
    /// Time from the first row of the log, h.
    pub clock_h: Spread,
    /// Time from the last row, h.
    pub left_h: Spread,
    /// Day, where the log has dates.
    pub date: DateSpread,
    /// Metal turnovers by metal replenished, at the dump.
    pub turnovers: Spread,
    /// Area still to be plated, m².
    pub area_left_m2: Spread,
}

/// A limit that the bath is past.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Passed {
    /// Name of the limit.
    pub limit: String,
    /// Value today, in the unit of the name.
    pub value: f64,
    /// Bound.
    pub bound: f64,
    /// The same in the words and the unit it was set in.
    pub as_given: bathkin::life::GivenLimit,
    /// Row since which it is past.
    pub row: Option<usize>,
    /// Its day, where the log has dates.
    pub date: Option<String>,
}

/// One more analysis.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct NextAnalysis {
    /// Of what, with its unit.
    pub of: String,
    /// Standard deviation it is taken to have, in that unit.
    pub sd: f64,
    /// How much of the width of the date it would take away, %.
    pub width_removed_pct: f64,
    /// P90 less P10 that would be left, h; none where a tenth of the members reach no limit.
    pub width_left_h: Option<f64>,
}

/// A row of the log.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct TrackedRow {
    /// Number, as its author counts.
    pub row: usize,
    /// Clock time from the first row, h.
    pub time_h: f64,
    /// Metal believed after its readings, g/L.
    pub metal_g_l: f64,
    /// Its standard deviation.
    pub metal_sd_g_l: f64,
    /// Metal believed after what was added at the row, g/L.
    pub metal_after_additions_g_l: f64,
    /// By-product believed, mol/L.
    pub by_product_mol_l: f64,
    /// Its standard deviation.
    pub by_product_sd_mol_l: f64,
    /// Logarithm of the rate factor.
    pub ln_rate: f64,
    /// Its standard deviation.
    pub ln_rate_sd: f64,
    /// Turnovers by metal replenished.
    pub turnovers: f64,
    /// pH corrector that the measured pH took since the row before, L; below zero it stands for as much acid. None of the first row,
    /// and where the pH is compared.
    pub ph_corrector_l: Option<f64>,
    /// What the log has as added of it since then, L.
    pub ph_corrector_logged_l: Option<f64>,
    /// Every reading.
    pub readings: Vec<TrackedReading>,
}

/// What following a measured pH took of the pH corrector; litres below zero stand for acid.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct PhCorrector {
    /// Its name.
    pub name: String,
    /// From the first row to the last, L.
    pub needed_l: f64,
    /// Standard deviation of that.
    pub sd_l: f64,
    /// What the log has as added of it in this time, L, where it has a column for it.
    pub logged_l: Option<f64>,
    /// Metal turnovers in this time, by metal replenished.
    pub turnovers: f64,
    /// For each of them, L; none where no metal was replenished.
    pub per_turnover_l: Option<f64>,
    /// Turnover by turnover.
    pub by_turnover: Vec<CorrectorOfTurnover>,
}

/// The same in one turnover.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct CorrectorOfTurnover {
    /// Which, the first of the bath being 1.
    pub turnover: usize,
    /// How much of it the log covers, of 1.
    pub part: f64,
    /// What it took, L.
    pub needed_l: f64,
    /// What the log has as added, L.
    pub logged_l: Option<f64>,
}

/// A reading of a row.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct TrackedReading {
    /// Which column.
    pub column: String,
    /// The component it is a content of.
    pub component: Option<String>,
    /// What was read.
    pub value: f64,
    /// What was expected before any of the row.
    pub expected: f64,
    /// How far it is off, in standard deviations of what is expected.
    pub standardised: f64,
    /// Whether it was taken: a wild one is left out.
    pub taken: bool,
}

/// A form of ageing with its weight.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct AgeingWeight {
    /// `of_recipe` or `exponential`.
    pub form: &'static str,
    /// Logarithm of its likelihood.
    pub ln_likelihood: f64,
    /// Share of the members.
    pub weight: f64,
}
