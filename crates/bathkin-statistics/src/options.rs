//! How to fit: bounds, whether the sigmas are absolute, the level of intervals, tolerances.

use bathkin_numerics::least_squares::{Bounds, LeastSquaresOptions};
use serde::Serialize;

/// Whether the sigma that residuals were divided by is absolute (`absolute_sigma` of SciPy).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, schemars::JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Scale {
    /// Known: s = 1, and intervals are normal.
    Known,
    /// Known to a common factor s, which is estimated from the residuals; intervals are Student's.
    #[default]
    Estimated,
}

/// How to fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FitOptions {
    /// Bounds; `None` for no bounds.
    pub bounds: Option<Bounds>,
    /// Whether sigma is absolute.
    pub scale: Scale,
    /// Probability of the intervals.
    pub level: f64,
    /// Tolerances and loss.
    pub solver: LeastSquaresOptions,
}

impl Default for FitOptions {
    fn default() -> Self {
        FitOptions {
            bounds: None,
            scale: Scale::Estimated,
            level: 0.95,
            solver: LeastSquaresOptions::default(),
        }
    }
}

impl Scale {
    /// A code for programs.
    pub fn code(self) -> &'static str {
        match self {
            Scale::Known => "known",
            Scale::Estimated => "estimated",
        }
    }
}
