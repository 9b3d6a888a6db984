//! Distributions to draw from, each by its quantiles: a uniform number inside (0, 1) becomes a value.
//!
//! Random and quasi-random numbers go the same way, and a value follows from one uniform number alone.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

/// A distribution of one number.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Distribution {
    /// Normal: mean and standard deviation.
    Normal(f64, f64),
    /// Lognormal: the median, and the standard deviation of the natural logarithm; 0.1 is "known to 10 %".
    Lognormal(f64, f64),
    /// Uniform from a low to a high end.
    Uniform(f64, f64),
    /// Uniform in the logarithm from a low to a high end.
    Loguniform(f64, f64),
    /// Triangular: low end, mode, high end.
    Triangular(f64, f64, f64),
}

impl Distribution {
    /// Names, each with what it takes.
    pub const NAMED: [(&str, &str); 5] = [
        ("normal", "mean, standard deviation"),
        ("lognormal", "median, standard deviation of the logarithm"),
        ("uniform", "low, high"),
        ("loguniform", "low, high"),
        ("triangular", "low, mode, high"),
    ];

    /// By its name and numbers; `None` where that is no distribution.
    ///
    /// ```
    /// use bathkin_statistics::distribution::Distribution;
    ///
    /// let spread = Distribution::named("triangular", &[0.0, 1.0, 4.0]).expect("there is one");
    /// assert_eq!(spread.quantile(0.25), 1.0);
    /// assert_eq!(Distribution::named("uniform", &[2.0, 1.0]), None);
    /// ```
    pub fn named(name: &str, numbers: &[f64]) -> Option<Self> {
        let positive = |numbers: &[f64]| numbers.iter().all(|number| *number > 0.0);
        if !numbers.iter().all(|number| number.is_finite()) {
            return None;
        }
        match (name, numbers) {
            ("normal", &[mean, sd]) if sd > 0.0 => Some(Distribution::Normal(mean, sd)),
            ("lognormal", &[median, sd]) if positive(numbers) => Some(Distribution::Lognormal(median, sd)),
            ("uniform", &[low, high]) if low < high => Some(Distribution::Uniform(low, high)),
            ("loguniform", &[low, high]) if low < high && low > 0.0 => {
                Some(Distribution::Loguniform(low, high))
            }
            ("triangular", &[low, mode, high]) if low <= mode && mode <= high && low < high => {
                Some(Distribution::Triangular(low, mode, high))
            }
            _ => None,
        }
    }

    /// The value below which a part of all lies; the part is inside (0, 1).
    pub fn quantile(&self, part: f64) -> f64 {
        match *self {
            Distribution::Normal(mean, sd) => mean + sd * Normal::standard().inverse_cdf(part),
            Distribution::Lognormal(median, sd) => median * (sd * Normal::standard().inverse_cdf(part)).exp(),
            Distribution::Uniform(low, high) => low + (high - low) * part,
            Distribution::Loguniform(low, high) => low * (part * (high / low).ln()).exp(),
            Distribution::Triangular(low, mode, high) => {
                let below = (mode - low) / (high - low);
                if part < below {
                    low + (part * (high - low) * (mode - low)).sqrt()
                } else {
                    high - ((1.0 - part) * (high - low) * (high - mode)).sqrt()
                }
            }
        }
    }

    /// Values that stand for it: the ends it does not exceed, or the middle where it has none.
    pub fn marks(&self) -> Vec<f64> {
        match *self {
            Distribution::Normal(middle, _) | Distribution::Lognormal(middle, _) => vec![middle],
            Distribution::Uniform(low, high) | Distribution::Loguniform(low, high) => vec![low, high],
            Distribution::Triangular(low, mode, high) => vec![low, mode, high],
        }
    }
}
