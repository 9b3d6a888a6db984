//! Where a fit starts, and the bounds of its parameters.

use bathkin_numerics::least_squares::Bounds;

use crate::error::{DataError, Part, SpecificationProblem};
use crate::estimate::options::RecipeFitOptions;
use crate::objective::free::ParameterScale;
use crate::objective::residuals::RecipeModel;

/// The recipe's numbers, or what was asked for in their place, on the scales they are fitted on.
pub(crate) fn start_of(model: &RecipeModel, options: &RecipeFitOptions) -> Result<Vec<f64>, DataError> {
    let mut start = model.start();
    for (path, value) in &options.start {
        let places = model.places_of(path);
        if places.is_empty() {
            return Err(model.not_free(Part::Start, path));
        }
        for place in places {
            let scale = model.free[place].scale;
            let expected = match scale {
                ParameterScale::Log => "a number above zero, for a parameter fitted on a log scale",
                ParameterScale::Linear => "a finite number",
            };
            if !scale.inside(*value).is_finite() {
                let (path, value) = (path.clone(), *value);
                return Err(SpecificationProblem::Start { path, value, expected }.into());
            }
            start[place] = scale.inside(*value);
        }
    }
    Ok(start)
}

/// Bounds on the scales of the fit, which have to hold the start.
pub(crate) fn bounds_of(
    model: &RecipeModel,
    options: &RecipeFitOptions,
    start: &[f64],
) -> Result<Bounds, DataError> {
    let mut bounds = Bounds::none(model.free.len());
    for (path, lower, upper) in &options.bounds {
        let places = model.places_of(path);
        if places.is_empty() {
            return Err(model.not_free(Part::Bounds, path));
        }
        for place in places {
            let scale = model.free[place].scale;
            let value = scale.outside(start[place]);
            // The logarithm and back may be off by rounding where a bound is the start.
            let slack = 1e-12 * value.abs();
            let holds = *lower - slack <= value && value <= *upper + slack && lower <= upper;
            if !holds {
                let given = options.start.iter().any(|(known, _)| known == path);
                let from = if given { "the start" } else { "the recipe's" };
                let (path, lower, upper) = (path.clone(), *lower, *upper);
                return Err(SpecificationProblem::OutsideBounds { path, from, value, lower, upper }.into());
            }
            bounds.lower[place] = scale.inside(*lower).min(start[place]);
            bounds.upper[place] = scale.inside(*upper).max(start[place]);
        }
    }
    Ok(bounds)
}
