//! The same fit with the other error model, to see whether the choice matters.

use bathkin_numerics::least_squares::{Loss, Residuals, linear_fit};
use bathkin_statistics::fit::{Fit, fit};
use bathkin_statistics::{FitOptions, Scale};

use crate::data::error_model::ErrorModel;
use crate::data::rows::Column;
use crate::estimate::chord::{CHORD, Chord};
use crate::objective::residuals::RecipeModel;
use bathkin::tank::Quantity;

/// The fit with relative errors of coupons where it had absolute ones, and the other way round; none where
/// nobody has to choose.
pub(crate) fn other_errors(model: &RecipeModel, found: &Fit) -> Option<Fit> {
    let turned = |column: &Column| -> Column {
        let errors = match column.errors {
            _ if Quantity::of_coupon(&column.name).is_none() => column.errors,
            ErrorModel::Relative { .. } => ErrorModel::Absolute { sigma: 1.0 },
            ErrorModel::Absolute { .. } => ErrorModel::Relative { sigma: 1.0 },
            mixed @ ErrorModel::Mixed { .. } => mixed,
        };
        Column { errors, size: 1.0, ..column.clone() }
    };
    let columns: Vec<Column> = model.columns.iter().map(turned).collect();
    let same = columns.iter().zip(&model.columns).all(|(a, b)| a.errors == b.errors);
    let positive = model.rows.iter().all(|row| row.observed.value > 0.0);
    if same || !positive || model.has_sigma() || found.options.solver.loss != Loss::Linear {
        return None;
    }
    let mut model = model.with_columns(columns);
    if !differ(&mut model, found)? {
        return None;
    }
    let mut options = FitOptions { scale: Scale::Estimated, ..found.options.clone() };
    // It is stated with four digits, and by how much it differs in standard errors.
    options.solver.decrease_tolerance = 1e-7;
    options.solver.resolution = CHORD;
    // Slopes follow the values until those stay.
    const ROUNDS: usize = 6;
    const STILL: f64 = 1e-2;
    let mut other = found.clone();
    for _ in 0..ROUNDS {
        let next = fit(&Chord::about(&model, other.values()).ok()?, other.values(), &options).ok()?;
        let moved = next.parameters.iter().zip(other.values()).any(|(parameter, before)| {
            parameter.standard_error.is_some_and(|error| (parameter.value - before).abs() > STILL * error)
        });
        other = next;
        if !moved {
            break;
        }
    }
    Some(other)
}

/// Whether a step on the linear model about a fit changes any number by most of its standard error; gives
/// each column the size it has there. `None` where there is no such step.
fn differ(model: &mut RecipeModel, found: &Fit) -> Option<bool> {
    const MOST: f64 = 0.7;
    let (rows, parameters) = (model.rows(), model.parameters());
    let (mut residuals, mut jacobian) = (vec![0.0; rows], vec![0.0; rows * parameters]);
    // Kept from the fit: nothing is computed anew.
    model.linearise(found.values(), &mut residuals, &mut jacobian).ok()?;
    let size = |column: usize| {
        let of_column = model.rows.iter().zip(&residuals).filter(|(row, _)| row.column == column);
        let (count, squares) = of_column.fold((0.0, 0.0), |(count, sum), (_, r)| (count + 1.0, sum + r * r));
        (squares / count).sqrt()
    };
    let sizes: Vec<f64> = (0..model.columns.len()).map(size).collect();
    // Residuals of rounding weigh nothing: divided by them, slopes overflow.
    if sizes.iter().any(|size| *size <= f64::EPSILON) {
        return None;
    }
    let weighed = |row: usize, value: f64| value / sizes[model.rows[row].column];
    let free: Vec<usize> =
        (0..parameters).filter(|place| found.parameters[*place].standard_error.is_some()).collect();
    let slopes: Vec<Vec<f64>> = free
        .iter()
        .map(|place| (0..rows).map(|row| weighed(row, jacobian[row * parameters + place])).collect())
        .collect();
    let wanted: Vec<f64> = (0..rows).map(|row| weighed(row, -residuals[row])).collect();
    let line = linear_fit(&slopes, &wanted)?;
    let far = free.iter().zip(&line.values).any(|(place, by)| {
        found.parameters[*place].standard_error.is_some_and(|error| by.abs() > MOST * error)
    });
    for (column, size) in model.columns.iter_mut().zip(sizes) {
        column.size *= size;
    }
    Some(far)
}
