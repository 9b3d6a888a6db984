//! What weighted draws say of one number, and draws of equal weight from them.
//!
//! With the values in rising order and W_i the sum of the weights before the i-th, a value stands at the part
//!
//! p_i = (W_i + ½ w_i - ½ w_1)/(1 - ½ w_1 - ½ w_n),
//!
//! and quantiles are linear between them: for equal weights (i - 1)/(n - 1), the usual rule.

use schemars::JsonSchema;
use serde::Serialize;

use crate::random::Stream;

/// One number of a posterior.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Marginal {
    /// Which number.
    pub path: String,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub standard_deviation: f64,
    /// Median.
    pub median: f64,
    /// Ends between which the middle 95 % lie.
    pub interval95: [f64; 2],
}

/// Of values with weights that add up to one; at least two of them.
pub fn marginal(path: &str, values: &[f64], weights: &[f64]) -> Marginal {
    let mean: f64 = values.iter().zip(weights).map(|(value, weight)| value * weight).sum();
    let variance: f64 =
        values.iter().zip(weights).map(|(value, weight)| weight * (value - mean).powi(2)).sum();
    let mut order: Vec<usize> = (0..values.len()).filter(|at| weights[*at] > 0.0).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let ends = order.first().zip(order.last()).map_or(0.0, |(a, b)| 0.5 * (weights[*a] + weights[*b]));
    let first = order.first().map_or(0.0, |at| 0.5 * weights[*at]);
    let mut before = 0.0;
    let places: Vec<(f64, f64)> = order
        .iter()
        .map(|at| {
            let place = (before + 0.5 * weights[*at] - first) / (1.0 - ends);
            before += weights[*at];
            (place, values[*at])
        })
        .collect();
    Marginal {
        path: path.to_owned(),
        mean,
        standard_deviation: variance.sqrt(),
        median: at(&places, 0.5),
        interval95: [at(&places, 0.025), at(&places, 0.975)],
    }
}

/// The value at a part, linear between places in rising order.
fn at(places: &[(f64, f64)], part: f64) -> f64 {
    let above = places.partition_point(|(place, _)| *place < part);
    let Some((high, value)) = places.get(above.min(places.len().saturating_sub(1))) else { return f64::NAN };
    let Some((low, below)) = above.checked_sub(1).and_then(|at| places.get(at)) else { return *value };
    if above >= places.len() || high <= low {
        *value
    } else {
        below + (value - below) * (part - low) / (high - low)
    }
}

/// Places of draws of equal weight: each of `count` evenly spaced parts of the weights falls on one, all moved by one
/// random number (systematic resampling; G. Kitagawa, *Monte Carlo filter and smoother for non-Gaussian nonlinear state
/// space models*, Journal of Computational and Graphical Statistics 5 (1996) 1-25). In random order.
pub fn resampled(weights: &[f64], count: usize, seed: u64) -> Vec<usize> {
    let mut random = Stream::new(seed, u64::MAX);
    let start = random.unit();
    let (mut place, mut sum) = (0, weights.first().copied().unwrap_or(0.0));
    let mut found = Vec::with_capacity(count);
    for number in 0..count {
        let part = (number as f64 + start) / count as f64;
        while sum < part && place + 1 < weights.len() {
            place += 1;
            sum += weights[place];
        }
        found.push(place);
    }
    random.permutation(count).into_iter().map(|at| found[at]).collect()
}
