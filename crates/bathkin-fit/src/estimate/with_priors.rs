//! Fits with priors or limits of detection, and the size of the errors of each column in them.
//!
//! The size of a column of measured values is
//!
//! s² = S/(ν + Σ z φ(z)/Φ(z)),
//!
//! with S the sum of squares of the values that were read, ν their number less their part in the hat matrix, and
//! the sum over those below a limit L, z = (L - y)/s: the size of greatest likelihood (J. Tobin, Econometrica 26
//! (1958) 24-36), but for ν. Values that lie below a limit by much have no influence, those that would lie above it by
//! half of all chances a little. With priors this is the scale of [`priors`](crate::priors), column by column.

use bathkin_numerics::least_squares::{Loss, Residuals};

use crate::error::DataError;
use crate::estimate::error_scale::degrees_of_freedom;
use crate::estimate::error_scale::estimated_size;
use crate::estimate::fused_jacobian::FusedJacobian;
use crate::estimate::search::{CLOSELY, NEGLIGIBLE, to_the_edge};
use crate::objective::residuals::RecipeModel;
use bathkin_statistics::error::FitError;
use bathkin_statistics::fit::describe_with;
use bathkin_statistics::priors::{NormalPrior, PosteriorFit, fit_with_priors};
use bathkin_statistics::residual_model::ResidualModel;
use bathkin_statistics::{FitOptions, Scale};

/// The fit, with estimated error variances where the sigmas are not absolute.
pub(crate) fn fit_with_more(
    model: &mut RecipeModel,
    priors: &[NormalPrior],
    start: Vec<f64>,
    options: &mut FitOptions,
) -> Result<PosteriorFit, DataError> {
    const ROUNDS: usize = 200;
    const SETTLED: f64 = 1e-5;
    if options.solver.loss != Loss::Linear {
        return Err(FitError::RobustLoss { method: "a prior or a limit of detection" }.into());
    }
    let scale = std::mem::replace(&mut options.scale, Scale::Known);
    let solve = |model: &RecipeModel, priors: &[NormalPrior], start: Vec<f64>, options: &mut FitOptions| {
        to_the_edge(model, start, options, |start, options| {
            fit_with_priors(&FusedJacobian(model), priors, start, options)
        })
    };
    let mut way = model.one_sided();
    if model.simulates() {
        (options.solver.decrease_tolerance, options.solver.negligible_decrease) = (CLOSELY, NEGLIGIBLE);
    }
    if scale == Scale::Known {
        let near = solve(&way, priors, start, options)?;
        return solve(model, priors, near.fit.values().to_vec(), options);
    }
    // From above: the scatter the data have without priors, or about the start where they are too few.
    size_about(&mut way, &start)?;
    let plain = solve(&way, &[], start, options)?;
    resize(&mut way, &plain)?;
    let mut found = plain;
    let mut moved = f64::INFINITY;
    for _ in 0..ROUNDS {
        found = solve(&way, priors, found.fit.values().to_vec(), options)?;
        moved = resize(&mut way, &found)?;
        if moved < SETTLED {
            break;
        }
    }
    model.columns.clone_from(&way.columns);
    found = solve(model, priors, found.fit.values().to_vec(), options)?;
    options.scale = scale;
    let effective: f64 = degrees_of_freedom(model, &found.fit.minimum.spectrum.leverage()).iter().sum();
    // As the variance goes to zero the data dominate the priors, and the curve meets them exactly.
    if moved > SETTLED || effective < 1e-6 {
        let method = "estimating the error variances: give absolute sigmas";
        return Err(FitError::NoScatter { method }.into());
    }
    let freedom = effective.round().max(0.0) as usize;
    let variance = (freedom > 0).then_some(1.0);
    found.fit = describe_with(model.names(), found.fit.minimum, options, freedom, variance);
    found.effective_degrees_of_freedom = effective;
    Ok(found)
}

/// Gives every column the size of its residuals about a point.
fn size_about(model: &mut RecipeModel, at: &[f64]) -> Result<(), DataError> {
    let mut residuals = vec![0.0; model.rows()];
    model.residuals(at, &mut residuals)?;
    for place in 0..model.columns.len() {
        let of_column = model.rows.iter().zip(&residuals);
        let of_column = of_column.filter(|(row, _)| row.column == place && !row.observed.below);
        let squares: Vec<f64> = of_column.map(|(_, residual)| residual * residual).collect();
        let size = (squares.iter().sum::<f64>() / squares.len() as f64).sqrt();
        // One value alone estimates no size.
        if squares.len() > 1 && size > 1e-9 {
            model.columns[place].size *= size;
        }
    }
    Ok(())
}

/// Gives every column the size estimated from its residuals; how far the farthest changed, in its logarithm.
fn resize(model: &mut RecipeModel, found: &PosteriorFit) -> Result<f64, DataError> {
    // Values below a limit answer to the size they are part of: half a step settles where a whole one overshoots.
    const HALF: f64 = 0.5;
    // Of the residual degrees of freedom: less would be estimated from next to nothing.
    const LEAST: f64 = 0.05;
    let freedom = degrees_of_freedom(model, &found.fit.minimum.spectrum.leverage());
    let values = model.linearised(found.fit.values())?.values.clone();
    let mut squares = vec![0.0; model.columns.len()];
    let mut below = vec![0.0; model.columns.len()];
    for (row, residual) in model.rows.iter().zip(&found.fit.minimum.residuals) {
        if row.observed.below {
            below[row.column] += model.pull_on_size(row, values[row.case][row.value]);
        } else {
            squares[row.column] += residual * residual;
        }
    }
    let mut moved = 0.0_f64;
    for (place, column) in model.columns.iter_mut().enumerate() {
        if estimated_size(squares[place], freedom[place]).is_none() {
            continue;
        }
        let rows = (freedom[place] + below[place]).max(LEAST * freedom[place]);
        let whole = (squares[place] / rows).sqrt();
        let size = if below[place] == 0.0 { whole } else { whole.powf(HALF) };
        column.size *= size;
        moved = moved.max(size.ln().abs());
    }
    Ok(moved)
}
