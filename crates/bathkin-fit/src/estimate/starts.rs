//! A fit of a recipe from many starts, since a minimum is only known to be the lowest by looking for others.

use bathkin_numerics::least_squares::Bounds;

use crate::arrhenius::Message;
use crate::data::sheet::DataError;
use crate::objective::free::ParameterScale;
use crate::objective::residuals::RecipeModel;
use bathkin_statistics::FitOptions;
use bathkin_statistics::fit::fit;
use bathkin_statistics::multi_start::{StartRange, multi_start};

/// The best start of `count` about the recipe's numbers, with what was found: numbers moved by their logarithm
/// between a fifth and five times, others by as much as they are, or by one, all within their bounds.
pub(crate) fn best_start(
    model: &RecipeModel,
    own: Vec<f64>,
    options: &FitOptions,
    count: usize,
    seed: u64,
) -> Result<(Vec<f64>, Message), DataError> {
    const TIMES: f64 = 5.0;
    // Good to tell minima apart.
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
    let say = |text: String| Message { code: "starts", text };
    let Ok(found) = found else {
        return Ok((own, say(format!("none of {count} further starts led to a minimum"))));
    };
    let best = found.best.sum_of_squares();
    let hits: usize = found.minima.iter().map(|minimum| minimum.hits).sum();
    let lower = from_own.as_ref().is_none_or(|own| best < own.sum_of_squares() * (1.0 - LOWER));
    let text = if lower {
        "a lower minimum than that of the recipe's numbers was found and taken"
    } else {
        "none led lower than the recipe's numbers"
    };
    let message = say(format!(
        "{count} further starts, {hits} with a minimum, {} different ones: {text}",
        found.minima.len()
    ));
    Ok((if lower { found.best.values().to_vec() } else { own }, message))
}
