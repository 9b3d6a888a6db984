//! The error variance of each column of measured values, estimated from its own residuals.
//!
//! s² of a column is its sum of squares over its rows less their leverages,
//!
//! s_c² = Σ r² / (n_c - Σ h),
//!
//! so that all sizes together take p degrees of freedom and the whole has s² = 1. Each fit is settled on its
//! own linear model before the next: sizes change the estimates little, and that costs nothing.
//!
//! A robust loss does not look at outliers, and sizes must not either: there it is estimated from the median,
//!
//! s_c = 1.4826 med|r| √(n_c/(n_c - Σ h)),
//!
//! which is the standard deviation of normal errors. Source: P. J. Rousseeuw and A. M. Leroy, *Robust Regression
//! and Outlier Detection*, Wiley 1987, chapter 5.

use bathkin_numerics::least_squares::{Bounds, Loss, linear_fit};

use crate::objective::residuals::RecipeModel;
use bathkin_statistics::fit::Fit;
use bathkin_statistics::influence::influence;
use bathkin_statistics::parameter::Determination;
use bathkin_statistics::quantiles::of_ordered;
use bathkin_statistics::robust::OF_NORMAL;

/// The size of errors from a sum of squares and its residual degrees of freedom, if there is any.
pub(crate) fn estimated_size(squares: f64, freedom: f64) -> Option<f64> {
    // Fewer estimate no size; values met so exactly have no errors.
    const LEAST: f64 = 1.0;
    const EXACT: f64 = 1e-9;
    let size = (squares / freedom).sqrt();
    (freedom >= LEAST && size > EXACT).then_some(size)
}

/// Residual degrees of freedom of each column: its rows, but those below a limit, less their leverages.
pub(crate) fn degrees_of_freedom(model: &RecipeModel, leverage: &[f64]) -> Vec<f64> {
    let mut freedom = vec![0.0; model.columns.len()];
    for (row, leverage) in model.rows.iter().zip(leverage).filter(|(row, _)| !row.observed.below) {
        freedom[row.column] += 1.0 - leverage;
    }
    freedom
}

/// Sizes by column as multiples of the present ones, and the parameters they lead to.
pub(crate) struct Settled {
    pub sizes: Vec<f64>,
    pub parameters: Vec<f64>,
}

impl Settled {
    /// How far the sizes changed, as a logarithm.
    pub fn moved(&self) -> f64 {
        self.sizes.iter().fold(0.0, |most, size| most.max(size.ln().abs()))
    }
}

/// Sizes and parameters that agree with each other on the linear model about a fit.
pub(crate) fn settle(model: &RecipeModel, found: &Fit, bounds: &Bounds) -> Settled {
    const ROUNDS: usize = 100;
    const STILL: f64 = 1e-5;
    let column_of = |row: usize| model.rows[row].column;
    if found.options.solver.loss != Loss::Linear {
        return Settled { sizes: sizes_by_median(model, found), parameters: found.values().to_vec() };
    }
    let mut settled = Settled { sizes: vec![1.0; model.columns.len()], parameters: found.values().to_vec() };
    let free: Vec<usize> = found
        .parameters
        .iter()
        .enumerate()
        .filter(|(_, parameter)| parameter.determination == Determination::Ok)
        .map(|(place, _)| place)
        .collect();
    let residuals = &found.minimum.residuals;
    let mut leverage: Vec<f64> = influence(found).iter().map(|row| row.leverage).collect();
    let mut left = residuals.clone();
    for _ in 0..ROUNDS {
        let mut moved = 0.0_f64;
        for column in 0..settled.sizes.len() {
            let rows: Vec<usize> = (0..left.len()).filter(|row| column_of(*row) == column).collect();
            let squares: f64 = rows.iter().map(|row| left[*row].powi(2)).sum();
            let freedom = rows.len() as f64 - rows.iter().map(|row| leverage[*row]).sum::<f64>();
            if let Some(size) = estimated_size(squares, freedom) {
                moved = moved.max((size / settled.sizes[column]).ln().abs());
                settled.sizes[column] = size;
            }
        }
        if moved < STILL || free.is_empty() {
            break;
        }
        let weighed = |row: usize, value: f64| value / settled.sizes[column_of(row)];
        let slopes: Vec<Vec<f64>> = free
            .iter()
            .map(|place| {
                (0..left.len()).map(|row| weighed(row, found.minimum.jacobian[(row, *place)])).collect()
            })
            .collect();
        let wanted: Vec<f64> = residuals.iter().enumerate().map(|(row, r)| weighed(row, -r)).collect();
        let Some(line) = linear_fit(&slopes, &wanted) else { break };
        for (row, (left, r)) in left.iter_mut().zip(residuals).enumerate() {
            let step: f64 = free
                .iter()
                .zip(&line.values)
                .map(|(place, by)| found.minimum.jacobian[(row, *place)] * by)
                .sum();
            *left = r + step;
            let x: Vec<f64> = slopes.iter().map(|slopes| slopes[row]).collect();
            leverage[row] = (0..x.len())
                .map(|a| (0..x.len()).map(|b| x[a] * line.inverse[(a, b)] * x[b]).sum::<f64>())
                .sum();
        }
        for (place, by) in free.iter().zip(&line.values) {
            let moved = found.values()[*place] + by;
            settled.parameters[*place] = moved.clamp(bounds.lower[*place], bounds.upper[*place]);
        }
    }
    settled
}

fn sizes_by_median(model: &RecipeModel, found: &Fit) -> Vec<f64> {
    let freedom = degrees_of_freedom(model, &found.minimum.spectrum.leverage());
    let of = |column: usize| {
        let rows: Vec<usize> =
            (0..model.rows.len()).filter(|row| model.rows[*row].column == column).collect();
        let mut sizes: Vec<f64> = rows.iter().map(|row| found.minimum.residuals[*row].abs()).collect();
        sizes.sort_by(f64::total_cmp);
        let squares = (OF_NORMAL * of_ordered(&sizes, 0.5)).powi(2) * rows.len() as f64;
        estimated_size(squares, freedom[column]).unwrap_or(1.0)
    };
    (0..model.columns.len()).map(of).collect()
}
