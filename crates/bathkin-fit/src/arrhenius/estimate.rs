//! An estimate of an Arrhenius law, and a row off its line.

use schemars::JsonSchema;
use serde::Serialize;

/// A parameter with its uncertainty, or the reason there is none.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Estimate {
    /// What it is of, with its unit.
    pub path: &'static str,
    /// Value.
    pub value: f64,
    /// Standard error; `None` when the data leave no degree of freedom.
    pub standard_error: Option<f64>,
    /// 95 % interval from the t distribution.
    pub interval95: Option<[f64; 2]>,
    /// `ok`, or why there is no uncertainty.
    pub status: &'static str,
}

/// Status of an energy whose interval holds zero.
pub(crate) const HOLDS_ZERO: &str = "not determined: the interval holds zero";

/// A row that lies off the line of the others.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct OutlyingRow {
    /// Row, counted from 1.
    pub row: usize,
    /// Externally studentised residual, ln k observed less calculated.
    pub studentised_residual: f64,
    /// Its two-sided probability times the number of rows (Bonferroni).
    pub p_value: f64,
}
