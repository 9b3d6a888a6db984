//! The same fit from many starts, since a minimum is only known to be the lowest by looking for others.

use rayon::prelude::*;
use serde::Serialize;

use crate::error::FitError;
use crate::fit::{Fit, fit};
use crate::options::FitOptions;
use crate::random::Stream;
use crate::residual_model::ResidualModel;

/// Where starts are drawn from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StartRange {
    /// Lowest start.
    pub lower: f64,
    /// Highest start.
    pub upper: f64,
    /// Evenly in the logarithm: for a positive parameter whose order of magnitude is unknown.
    pub logarithmic: bool,
}

/// A minimum that was found, with how many starts led to it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LocalMinimum {
    /// Its parameters.
    pub parameters: Vec<f64>,
    /// Its sum of squares.
    pub sum_of_squares: f64,
    /// Starts that led to it.
    pub hits: usize,
}

/// What many starts found.
#[derive(Debug, Clone)]
pub struct MultiStart {
    /// The best fit.
    pub best: Fit,
    /// All minima, best first.
    pub minima: Vec<LocalMinimum>,
    /// Starts where the model failed or the fit did not converge.
    pub failed: usize,
}

/// Fits from `count` starts spread as a Latin hypercube over `ranges`, in parallel; `seed` fixes them.
///
/// Source of the design: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239-245.
///
/// # Errors
/// [`FitError`]: a range that is none, or the error of the first start when no start succeeds.
pub fn multi_start<M: ResidualModel>(
    model: &M,
    ranges: &[StartRange],
    count: usize,
    seed: u64,
    options: &FitOptions,
) -> Result<MultiStart, FitError> {
    let starts = starts(model.parameters(), ranges, count, seed)?;
    let found: Vec<Result<Fit, FitError>> =
        starts.par_iter().map(|start| fit(model, start, options)).collect();
    let failed = found.iter().filter(|found| found.is_err()).count();
    if failed == found.len() {
        let none = FitError::Count { of: "starts", given: 0, least: 1, most: None };
        return Err(found.into_iter().find_map(Result::err).unwrap_or(none));
    }
    let mut fits: Vec<Fit> = found.into_iter().flatten().collect();
    // A stable sort: among equals the earlier start stays first, whatever the threads did.
    fits.sort_by(|a, b| a.minimum.cost.total_cmp(&b.minimum.cost));
    let mut minima: Vec<LocalMinimum> = Vec::new();
    for fit in &fits {
        match minima.iter_mut().find(|known| same(known, fit)) {
            Some(known) => known.hits += 1,
            None => minima.push(LocalMinimum {
                parameters: fit.values().to_vec(),
                sum_of_squares: fit.sum_of_squares(),
                hits: 1,
            }),
        }
    }
    Ok(MultiStart { best: fits.swap_remove(0), minima, failed })
}

/// The same minimum: sums of squares and parameters agree far within what the data determine.
fn same(known: &LocalMinimum, fit: &Fit) -> bool {
    let near = |a: f64, b: f64, unit: f64| (a - b).abs() <= 1e-4 * unit.max(a.abs()) + f64::MIN_POSITIVE;
    near(known.sum_of_squares, fit.sum_of_squares(), 0.0)
        && fit
            .parameters
            .iter()
            .zip(&known.parameters)
            .all(|(parameter, known)| near(*known, parameter.value, parameter.standard_error.unwrap_or(0.0)))
}

fn starts(
    parameters: usize,
    ranges: &[StartRange],
    count: usize,
    seed: u64,
) -> Result<Vec<Vec<f64>>, FitError> {
    if ranges.len() != parameters {
        return Err(FitError::Length {
            first: "ranges",
            first_rows: ranges.len(),
            second: "parameters",
            second_rows: parameters,
        });
    }
    let mut starts = vec![vec![0.0; parameters]; count];
    for (i, range) in ranges.iter().enumerate() {
        let finite = range.lower.is_finite() && range.upper.is_finite();
        if !finite || range.lower > range.upper || (range.logarithmic && range.lower <= 0.0) {
            return Err(FitError::Value {
                row: i + 1,
                column: "range",
                value: range.lower,
                expected: "a finite range from low to high, above zero when logarithmic",
            });
        }
        let mut random = Stream::new(seed, i as u64);
        for (start, cell) in random.permutation(count).into_iter().enumerate() {
            let part = (cell as f64 + random.unit()) / count as f64;
            let value = if range.logarithmic {
                (range.lower.ln() + part * (range.upper / range.lower).ln()).exp()
            } else {
                range.lower + part * (range.upper - range.lower)
            };
            starts[start][i] = value.clamp(range.lower, range.upper);
        }
    }
    Ok(starts)
}
