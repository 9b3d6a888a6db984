//! A finding, its grade, and what would have been seen.

use schemars::JsonSchema;
use serde::Serialize;

/// Score of an addition beyond which it is a finding.
pub(crate) const FINDING: f64 = 2.8;
/// What a finding is of where every solution of a dose was forgotten, or left out.
pub(crate) const WHOLE_DOSE: &str = "the whole dose";
/// Code of a reading that is off, and that no jump explains.
pub(crate) const OUTLYING: &str = "outlying_reading";
/// Code of a column that is ten times too large or too small.
pub(crate) const MISREAD: &str = "column_misread";
/// Rows at the start that tell the start.
pub(crate) const SETTLING: usize = 2;

/// How sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Worth a look: one false alarm in a hundred rows per kind.
    Look,
    /// A finding: one in a hundred rows for all kinds.
    Finding,
}

/// What is odd.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Finding {
    /// What it is, by name: `unlogged_addition`, `less_added`, `forgotten_dose`, `outlying_reading`, `column_misread`,
    /// `added_too_much`, `added_too_little`, `strength`, `model_misses`.
    pub code: &'static str,
    /// How sure.
    pub grade: Grade,
    /// Row of the log, as its author counts; the addition is after it. None of the whole log.
    pub row: Option<usize>,
    /// Clock time of that row from the first one, h.
    pub at_h: Option<f64>,
    /// Its day and time, where the log has dates.
    pub date: Option<String>,
    /// Which reading or solution.
    pub of: String,
    /// Size: L of the solution, or what the reading is off by in its unit.
    pub size: Option<f64>,
    /// Standard deviation of the size.
    pub size_sd: Option<f64>,
    /// Score, in standard deviations.
    pub score: f64,
    /// The reading as it would be without the slip, where one explains it.
    pub meant: Option<f64>,
    /// In words.
    pub text: String,
}

/// The smallest addition of a solution that would have been seen.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct SmallestSeen {
    /// Which solution.
    pub solution: String,
    /// Volume, L, seen in four of five cases as a look.
    pub look_l: f64,
    /// The same as a finding.
    pub finding_l: f64,
}
