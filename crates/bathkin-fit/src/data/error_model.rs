//! How errors of what was measured are distributed.

use schemars::JsonSchema;
use serde::Serialize;

use bathkin_statistics::censored::below_limit;

/// How errors of a column are distributed. With y observed, f calculated, and s the size of the errors where
/// it is to be estimated (else one):
///
/// | model | residual |
/// | --- | --- |
/// | absolute | (f - y)/(s a) |
/// | relative | ln(f/y)/(s r) |
/// | mixed | (f - y)/(s √(a² + (r y)²)) |
///
/// A sigma of the row's own takes the place of a, of r y, or of the root. With estimated sizes only the
/// ratios of a and r matter. Of a value below a limit of detection y is the limit, and the residual that of
/// [`below_limit`] with the same sigma, in the logarithm for relative errors.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case", tag = "model")]
pub enum ErrorModel {
    /// The same standard deviation in the unit of what was measured.
    Absolute {
        /// Standard deviation, in that unit.
        sigma: f64,
    },
    /// The same relative standard deviation: an error of the logarithm.
    Relative {
        /// Relative standard deviation.
        sigma: f64,
    },
    /// Both.
    Mixed {
        /// Standard deviation at zero.
        absolute: f64,
        /// Relative standard deviation far from zero.
        relative: f64,
    },
}

/// One measured value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    /// The value, or the limit that it is below.
    pub value: f64,
    /// Its own standard deviation, in its unit, where the table has one.
    pub sigma: Option<f64>,
    /// Whether all that is known is that it is below `value`.
    pub below: bool,
}

impl ErrorModel {
    /// Whether errors are those of the logarithm of what was measured.
    pub fn is_logarithmic(self) -> bool {
        matches!(self, ErrorModel::Relative { .. })
    }

    /// (residual, d residual / d calculated) of an observation, for errors of size s.
    pub fn residual(self, observed: Observation, calculated: f64, size: f64) -> (f64, f64) {
        let y = observed.value;
        let sigma = size * self.sigma(observed);
        if observed.below && self.is_logarithmic() {
            let found = below_limit(y.ln(), calculated.ln(), sigma);
            return (found.residual, found.by_calculated / calculated);
        }
        if observed.below {
            let found = below_limit(y, calculated, sigma);
            return (found.residual, found.by_calculated);
        }
        if self.is_logarithmic() {
            ((calculated / y).ln() / sigma, 1.0 / (calculated * sigma))
        } else {
            ((calculated - y) / sigma, 1.0 / sigma)
        }
    }

    /// Standard deviation of an observation before the size, of its logarithm where errors are relative.
    pub fn sigma(self, observed: Observation) -> f64 {
        let y = observed.value;
        match (self, observed.sigma) {
            (ErrorModel::Relative { .. }, Some(own)) => own / y,
            (ErrorModel::Relative { sigma }, None) => sigma,
            (_, Some(own)) => own,
            (ErrorModel::Absolute { sigma }, None) => sigma,
            (ErrorModel::Mixed { absolute, relative }, None) => absolute.hypot(relative * y),
        }
    }

    /// The value it holds for may be zero or negative.
    pub fn takes_zero(self) -> bool {
        !self.is_logarithmic()
    }
}
