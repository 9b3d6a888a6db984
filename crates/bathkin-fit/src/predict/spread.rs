//! Quantiles of lives.

use schemars::JsonSchema;
use serde::Serialize;

/// What one, five and nine of ten lives lie below; none where that many outlive the longest.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Spread {
    /// One of ten.
    pub p10: Option<f64>,
    /// The median.
    pub p50: Option<f64>,
    /// Nine of ten.
    pub p90: Option<f64>,
}

/// Days that one, five and nine of ten lives end by. None where that many outlive the longest, or nothing is known of
/// the make-up.
#[derive(Debug, Clone, PartialEq, Default, JsonSchema, Serialize)]
pub struct DateSpread {
    /// One of ten.
    pub p10: Option<String>,
    /// The median.
    pub p50: Option<String>,
    /// Nine of ten.
    pub p90: Option<String>,
}
