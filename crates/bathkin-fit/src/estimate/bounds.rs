//! Bounds of free parameters.

use bathkin_numerics::least_squares::Bounds;

use crate::data::error::DataError;
use crate::objective::residuals::RecipeModel;

/// Bounds as the solver counts, which the recipe's numbers must hold; starts from elsewhere are moved inside.
pub(crate) fn inside_bounds(
    model: &RecipeModel,
    given: &[(String, f64, f64)],
    from: &mut [f64],
) -> Result<Bounds, DataError> {
    let mut bounds = Bounds::none(model.free.len());
    let start = model.start();
    let refuse = |what: String| DataError::Column { file: "bounds".to_owned(), what };
    for (path, lower, upper) in given {
        let places = model.places_of(path);
        if places.is_empty() {
            return Err(refuse(format!("{path} is not free")));
        }
        for place in places {
            let scale = model.free[place].scale;
            let value = scale.outside(start[place]);
            // The logarithm and back may be off by rounding where a bound is the start.
            let slack = 1e-12 * value.abs();
            let holds = *lower - slack <= value && value <= *upper + slack && lower <= upper;
            if !holds {
                return Err(refuse(format!("{path}: the recipe's {value} is not within {lower} to {upper}")));
            }
            bounds.lower[place] = scale.inside(*lower).min(start[place]);
            bounds.upper[place] = scale.inside(*upper).max(start[place]);
            from[place] = from[place].clamp(bounds.lower[place], bounds.upper[place]);
        }
    }
    Ok(bounds)
}
