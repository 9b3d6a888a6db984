//! A fitted parameter, and whether the data determine it.

use serde::Serialize;

/// Whether the data determine a parameter, or why not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Determination {
    /// It has a standard error.
    Ok,
    /// It lies on a bound; the others are stated with it held there.
    AtBound,
    /// As many parameters as rows: a value and no uncertainty.
    ZeroDegreesOfFreedom,
    /// Only combinations with others are determined: see [`Fit::undetermined`](crate::Fit::undetermined).
    RankDeficient,
    /// No residual depends on it.
    NoInfluence,
}

impl Determination {
    /// A code for programs.
    pub fn code(self) -> &'static str {
        match self {
            Determination::Ok => "ok",
            Determination::AtBound => "at_bound",
            Determination::ZeroDegreesOfFreedom => "zero_degrees_of_freedom",
            Determination::RankDeficient => "rank_deficient",
            Determination::NoInfluence => "no_influence",
        }
    }
}

/// A fitted parameter.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Parameter {
    /// Name.
    pub name: String,
    /// Value at the minimum.
    pub value: f64,
    /// Standard error, unless `determination` says why there is none.
    pub standard_error: Option<f64>,
    /// Interval of the level asked for, from the standard error.
    pub interval: Option<[f64; 2]>,
    /// Whether it is determined.
    pub determination: Determination,
}

/// A combination of parameters that the data do not determine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Combination {
    /// Parameters that take part, with the proportions in which they may change, in their own units, without
    /// any change in the residuals.
    pub change: Vec<(String, f64)>,
    /// Its singular value as part of the largest.
    pub relative_singular_value: f64,
}
