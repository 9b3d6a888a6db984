//! How well a model predicts cases it was not fitted to.
//!
//! Each case (the rows of one [`ResidualModel::case_of`]), or each of k folds of cases, is left out in turn,
//! the rest is fitted from the values of the full fit, and the rows left out are compared with what that
//! predicts. Of a linear model leaving out one row gives r/(1-h) with its leverage h, the prediction
//! residuals of D. M. Allen, Technometrics 16 (1974) 125-127. Source of k folds: M. Stone, *Cross-validatory
//! choice and assessment of statistical predictions*, J. R. Stat. Soc. B 36 (1974) 111-147.

use std::collections::HashSet;

use rayon::prelude::*;
use serde::Serialize;

use crate::error::FitError;
use crate::fit::{Fit, minimise};
use crate::progress::Counter;
use crate::random::Stream;
use crate::residual_model::{ResidualModel, Rows, cases};

/// What is left out at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Folds {
    /// One case.
    Each,
    /// One of `count` folds of cases, drawn from `seed`, of equal size to one case.
    Drawn {
        /// Number of folds, at most that of the cases.
        count: usize,
        /// Seed.
        seed: u64,
    },
}

/// Prediction residuals, in units of sigma.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CrossValidation {
    /// (predicted - observed)/sigma of each row; `None` where the fit without it did not succeed.
    pub residuals: Vec<Option<f64>>,
    /// Root of the mean square over all rows that were predicted.
    pub rms: f64,
    /// Root of the mean square of each case, by the label of the model, in order.
    pub by_case: Vec<CasePrediction>,
    /// Fits made.
    pub fits: usize,
    /// Fits that did not converge.
    pub failed: usize,
    /// Fits that determine fewer combinations of parameters than the full one: the rows left out alone
    /// determined something, and nothing predicts them.
    pub undetermined: usize,
}

/// How well one case is predicted by the others.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CasePrediction {
    /// Its label.
    pub case: usize,
    /// Its rows.
    pub rows: usize,
    /// Root of the mean square; `None` where the fit without it did not succeed.
    pub rms: Option<f64>,
}

/// Leaves out, refits and compares, in parallel; the answer is the same for any number of threads.
///
/// # Errors
/// [`FitError`] with fewer than two cases or folds, more folds than cases, or no fold predicted.
///
/// ```
/// use bathkin_statistics::cross_validation::{Folds, cross_validate};
/// use bathkin_statistics::{FitOptions, ResidualModel, fit};
/// use bathkin_numerics::least_squares::Residuals;
/// use std::convert::Infallible;
///
/// /// A mean of 1, 2 and 6.
/// struct Mean {
///     names: Vec<String>,
/// }
///
/// impl Residuals for Mean {
///     type Error = Infallible;
///     fn parameters(&self) -> usize { 1 }
///     fn rows(&self) -> usize { 3 }
///     fn residuals(&self, at: &[f64], f: &mut [f64]) -> Result<(), Infallible> {
///         f.copy_from_slice(&[at[0] - 1.0, at[0] - 2.0, at[0] - 6.0]);
///         Ok(())
///     }
///     fn linearise(&self, at: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Infallible> {
///         j.fill(1.0);
///         self.residuals(at, f)
///     }
/// }
///
/// impl ResidualModel for Mean {
///     fn names(&self) -> &[String] { &self.names }
/// }
///
/// let model = Mean { names: vec!["mean".to_owned()] };
/// let found = fit(&model, &[0.0], &FitOptions::default())?;
/// let left_out = cross_validate(&model, &found, Folds::Each)?;
/// // The mean of 2 and 6 less 1, of 1 and 6 less 2, of 1 and 2 less 6.
/// for (residual, expected) in left_out.residuals.iter().zip([3.0, 1.5, -4.5]) {
///     assert!((residual.unwrap() - expected).abs() < 1e-12);
/// }
/// # Ok::<(), bathkin_statistics::FitError>(())
/// ```
pub fn cross_validate<M: ResidualModel>(
    model: &M,
    fit: &Fit,
    folds: Folds,
) -> Result<CrossValidation, FitError> {
    cross_validate_counting(model, fit, folds, &Counter::new(&|_| {}))
}

/// The same, counting folds as they are done.
pub fn cross_validate_counting<M: ResidualModel>(
    model: &M,
    fit: &Fit,
    folds: Folds,
    counter: &Counter,
) -> Result<CrossValidation, FitError> {
    let cases = cases(model);
    let folds = split(&cases, folds)?;
    let found: Vec<Outcome> = folds
        .par_iter()
        .map(|left_out| predict(model, fit, left_out))
        .inspect(|_| counter.one_more())
        .collect();
    let mut residuals = vec![None; model.rows()];
    for (left_out, found) in folds.iter().zip(&found) {
        if let Outcome::Predicted(predicted) = found {
            left_out.iter().zip(predicted).for_each(|(row, residual)| residuals[*row] = Some(*residual));
        }
    }
    let rms = |rows: &mut dyn Iterator<Item = usize>| {
        let (count, squares) =
            rows.filter_map(|row| residuals[row]).fold((0_usize, 0.0), |(count, squares), residual: f64| {
                (count + 1, squares + residual * residual)
            });
        (count > 0).then(|| (squares / count as f64).sqrt())
    };
    let Some(all) = rms(&mut (0..model.rows())) else {
        return Err(FitError::AllFailed { of: "fits with rows left out", count: folds.len() });
    };
    let by_case = cases.iter().map(|rows| CasePrediction {
        case: model.case_of(rows[0]),
        rows: rows.len(),
        rms: rms(&mut rows.iter().copied()),
    });
    Ok(CrossValidation {
        rms: all,
        by_case: by_case.collect(),
        fits: folds.len(),
        failed: found.iter().filter(|found| matches!(found, Outcome::Failed)).count(),
        undetermined: found.iter().filter(|found| matches!(found, Outcome::Undetermined)).count(),
        residuals,
    })
}

enum Outcome {
    Predicted(Vec<f64>),
    Failed,
    Undetermined,
}

fn predict<M: ResidualModel>(model: &M, fit: &Fit, left_out: &[usize]) -> Outcome {
    let out: HashSet<usize> = left_out.iter().copied().collect();
    let rows = (0..model.rows()).filter(|row| !out.contains(row)).collect();
    let Ok(found) = minimise(&Rows { model, rows }, fit.values(), &fit.options) else {
        return Outcome::Failed;
    };
    // On a bound a parameter is determined by it.
    let held = |at_bound: &[bool]| at_bound.iter().filter(|held| **held).count();
    let determined = found.spectrum.rank + held(&found.at_bound);
    if determined < fit.minimum.spectrum.rank + held(&fit.minimum.at_bound) {
        return Outcome::Undetermined;
    }
    let mut all = vec![0.0; model.rows()];
    match model.residuals(&found.parameters, &mut all) {
        Ok(()) => Outcome::Predicted(left_out.iter().map(|row| all[*row]).collect()),
        Err(_) => Outcome::Failed,
    }
}

/// Rows to leave out at a time.
fn split(cases: &[Vec<usize>], folds: Folds) -> Result<Vec<Vec<usize>>, FitError> {
    let count = match folds {
        Folds::Each => cases.len(),
        Folds::Drawn { count, .. } => count,
    };
    if count < 2 || count > cases.len() {
        return Err(FitError::Count {
            of: "folds of cases",
            given: count,
            least: 2,
            most: Some(cases.len()),
        });
    }
    let order = match folds {
        Folds::Each => (0..cases.len()).collect(),
        Folds::Drawn { seed, .. } => Stream::new(seed, 0).permutation(cases.len()),
    };
    let mut rows = vec![Vec::new(); count];
    for (place, case) in order.into_iter().enumerate() {
        rows[place % count].extend_from_slice(&cases[case]);
    }
    Ok(rows)
}
