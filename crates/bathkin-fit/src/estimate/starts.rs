//! A fit of a recipe from many starts, since a minimum is only known to be the lowest by looking for others.

use bathkin_numerics::least_squares::Bounds;

use crate::error::DataError;
use crate::objective::free::ParameterScale;
use crate::objective::residuals::RecipeModel;
use bathkin_statistics::FitOptions;
use bathkin_statistics::fit::fit;
use bathkin_statistics::multi_start::{StartRange, multi_start};

/// What further starts led to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct StartsTried {
    /// How many.
    pub count: usize,
    /// How many of them led to a minimum.
    pub converged: usize,
    /// Different minima.
    pub minima: usize,
    /// Whether one of these is lower than that of the recipe's numbers, and was taken.
    pub lower: bool,
}

/// The best start of `count` about the recipe's numbers, with what was found: numbers fitted on a log scale
/// between a fifth and five times, others by as much as they are, or by one, all within their bounds.
pub(crate) fn best_start(
    model: &RecipeModel,
    own: Vec<f64>,
    options: &FitOptions,
    count: usize,
    seed: u64,
) -> Result<(Vec<f64>, StartsTried), DataError> {
    const TIMES: f64 = 5.0;
    // Good to distinguish minima.
    const ROUGHLY: f64 = 1e-8;
    // Minima closer than this in their sum of squares are one.
    const LOWER: f64 = 1e-3;
    let none = Bounds::none(own.len());
    let bounds = options.bounds.as_ref().unwrap_or(&none);
    let range = |(place, value): (usize, &f64)| {
        let by = match model.free[place].scale {
            ParameterScale::Log => TIMES.ln(),
            ParameterScale::Linear => value.abs().max(1.0),
        };
        StartRange {
            lower: (value - by).max(bounds.lower[place]),
            upper: (value + by).min(bounds.upper[place]),
            logarithmic: false,
        }
    };
    let ranges: Vec<StartRange> = own.iter().enumerate().map(range).collect();
    let coarse = model.coarse();
    let mut options = options.clone();
    options.solver.decrease_tolerance = ROUGHLY;
    let from_own = fit(&coarse, &own, &options).ok();
    let found = multi_start(&coarse, &ranges, count, seed, &options);
    let Ok(found) = found else {
        return Ok((own, StartsTried { count, converged: 0, minima: 0, lower: false }));
    };
    let best = found.best.sum_of_squares();
    let lower = from_own.as_ref().is_none_or(|own| best < own.sum_of_squares() * (1.0 - LOWER));
    let tried = StartsTried {
        count,
        converged: found.minima.iter().map(|minimum| minimum.hits).sum(),
        minima: found.minima.len(),
        lower,
    };
    Ok((if lower { found.best.values().to_vec() } else { own }, tried))
}
