//! The search for a minimum, up to the edge of what the recipe takes.

use bathkin_statistics::FitOptions;
use bathkin_statistics::error::FitError;
use bathkin_statistics::fit::{Fit, fit};

use crate::error::DataError;
use crate::estimate::fused_jacobian::FusedJacobian;
use crate::objective::residuals::RecipeModel;

/// Part of the sum of squares that ends the search for numbers behind simulations: a last step of at most a
/// thousandth of a standard error, which leaves a tenth of itself.
pub(crate) const CLOSELY: f64 = 1e-9;

/// Part of it that is worth no step: a few ten thousandths of a standard error.
pub(crate) const NEGLIGIBLE: f64 = 1e-10;

/// Differences of baths in lockstep resolve directions down to this.
pub(crate) const RANK_TOLERANCE: f64 = 1e-7;

/// The fit; where it runs against the edge of what the recipe takes, that edge becomes a bound.
///
/// A search that gets stuck with slopes from one side goes on with slopes from both: where a bath runs dry on the way, a
/// small step to one side tells little. One that is lost on a ridge, a direction that these data hardly see, is made again without steps along the
/// weakest directions, and with those as not determined: what lies along them stays where it began.
pub(crate) fn fit_to_the_edge(
    model: &RecipeModel,
    start: Vec<f64>,
    options: &mut FitOptions,
) -> Result<Fit, DataError> {
    // Parts of the largest singular value, the scaled slopes being of norm one.
    const WEAK: [f64; 3] = [1e-3, 1e-2, 1e-1];
    let search = |model: &RecipeModel, start: &[f64], options: &mut FitOptions| {
        to_the_edge(model, start.to_vec(), options, |start, options| {
            fit(&FusedJacobian(model), start, options)
        })
    };
    let before = options.clone();
    let mut found = search(model, &start, options);
    let finer = model.both_sided();
    if let (Err(DataError::Fit(FitError::NotConverged { parameters, .. })), Some(finer)) = (&found, &finer) {
        let stopped = parameters.clone();
        found = search(finer, &stopped, options);
    }
    if !matches!(found, Err(DataError::Fit(FitError::NotConverged { .. }))) {
        return found;
    }
    let finest = finer.as_ref().unwrap_or(model);
    for weak in WEAK {
        let mut along_none = before.clone();
        (along_none.solver.unseen, along_none.solver.rank_tolerance) = (weak, weak);
        if let Ok(settled) = search(finest, &start, &mut along_none) {
            *options = along_none;
            return Ok(settled);
        }
    }
    found
}

/// Whether a fit went without some directions to find an end.
pub(crate) fn is_on_ridge(found: &Fit) -> bool {
    found.options.solver.rank_tolerance > RANK_TOLERANCE && !found.undetermined.is_empty()
}

/// The same for any way to fit from a start.
pub(crate) fn to_the_edge<T>(
    model: &RecipeModel,
    start: Vec<f64>,
    options: &mut FitOptions,
    fit: impl Fn(&[f64], &FitOptions) -> Result<T, FitError>,
) -> Result<T, DataError> {
    // Well inside the last step before the edge, well beyond rounding.
    const OUTWARDS: f64 = 1e-6;
    let mut start = start;
    loop {
        let stopped = match fit(&start, options) {
            Ok(found) => return Ok(found),
            // The recipe's own error, with its row, time and numbers.
            Err(FitError::ModelFails { cause }) => {
                model.values(&start)?;
                return Err(FitError::ModelFails { cause }.into());
            }
            Err(stopped) => stopped,
        };
        let (FitError::NotConverged { parameters, .. }, Some(bounds)) = (&stopped, &mut options.bounds)
        else {
            return Err(stopped.into());
        };
        let mut edges = 0;
        for (place, value) in parameters.iter().enumerate() {
            for (side, bound) in [(-1.0, &mut bounds.lower[place]), (1.0, &mut bounds.upper[place])] {
                let mut beyond = parameters.clone();
                beyond[place] += side * OUTWARDS * value.abs().max(model.free[place].size);
                if bound.is_infinite() && model.values(&beyond).is_err() {
                    *bound = *value;
                    edges += 1;
                }
            }
        }
        if edges == 0 {
            return Err(stopped.into());
        }
        start.clone_from(parameters);
    }
}
