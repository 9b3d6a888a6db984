//! The bootstrap: the fit repeated on data that could have come instead.
//!
//! Source: B. Efron and R. J. Tibshirani, *An Introduction to the Bootstrap*, Chapman & Hall 1993.

use bathkin_numerics::least_squares::Minimum;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use crate::error::FitError;
use crate::fit::{Fit, minimise};
use crate::influence::influence;
use crate::progress::{Counter, Done};
use crate::quantiles::of_ordered;
use crate::random::Stream;
use crate::residual_model::{ResidualModel, Rows, Shifted, cases};

/// What is drawn again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Resampling {
    /// Residuals, each divided by √(1 - leverage) and about their mean, put onto the fitted values. Assumes
    /// the model, and errors of one size.
    Residuals,
    /// Cases (rows, or all rows of a run) with replacement. Assumes neither, but needs many cases.
    Cases,
}

/// How often, and from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BootstrapOptions {
    /// Number of replicates.
    pub replicates: usize,
    /// Seed; the answer is the same for any number of threads.
    pub seed: u64,
    /// What is drawn again.
    pub resampling: Resampling,
}

/// Replicates of a fit.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Bootstrap {
    /// Names of the parameters.
    pub names: Vec<String>,
    /// Parameters of each replicate that converged, a row for each.
    pub draws: Vec<Vec<f64>>,
    /// Standard deviation of each parameter over the draws.
    pub standard_errors: Vec<f64>,
    /// Percentile interval of each parameter at the level of the fit.
    pub intervals: Vec<[f64; 2]>,
    /// Replicates that did not converge. Many of them make the intervals too narrow.
    pub failed: usize,
}

/// Repeats a fit on resampled data, in parallel.
///
/// # Errors
/// [`FitError`] with fewer than two cases or converged replicates.
pub fn bootstrap<M: ResidualModel>(
    model: &M,
    fit: &Fit,
    options: &BootstrapOptions,
) -> Result<Bootstrap, FitError> {
    bootstrap_reporting(model, fit, options, &|_| {})
}

/// The same, reporting how many replicates are done.
///
/// # Errors
/// As [`bootstrap`].
pub fn bootstrap_reporting<M: ResidualModel>(
    model: &M,
    fit: &Fit,
    options: &BootstrapOptions,
    done: Done,
) -> Result<Bootstrap, FitError> {
    let counter = Counter::new(done);
    let cases = cases(model);
    if cases.len() < 2 {
        return Err(FitError::Count { of: "cases to draw from", given: cases.len(), least: 2, most: None });
    }
    let residuals = &fit.minimum.residuals;
    let errors = errors(fit);
    let determined = |of: &Minimum| of.spectrum.rank + of.at_bound.iter().filter(|held| **held).count();
    let whole = determined(&fit.minimum);
    let one = |replicate: usize| {
        let mut random = Stream::new(options.seed, replicate as u64);
        let found = match options.resampling {
            Resampling::Residuals => {
                // r(x) - r - e: the fitted values take the place of the observations, plus a drawn error.
                let by = residuals.iter().map(|r| r + errors[random.below(errors.len())]).collect();
                minimise(&Shifted { model, by }, fit.values(), &fit.options)
            }
            Resampling::Cases => {
                let drawn = (0..cases.len()).flat_map(|_| cases[random.below(cases.len())].clone());
                minimise(&Rows { model, rows: drawn.collect() }, fit.values(), &fit.options)
            }
        };
        counter.one_more();
        // A draw of cases may leave out the one that determines a parameter: what stays at the start is no estimate.
        found.ok().filter(|minimum| determined(minimum) >= whole).map(|minimum| minimum.parameters)
    };
    let found: Vec<Option<Vec<f64>>> = (0..options.replicates).into_par_iter().map(one).collect();
    let draws: Vec<Vec<f64>> = found.into_iter().flatten().collect();
    if draws.len() < 2 {
        let given = draws.len();
        return Err(FitError::Count { of: "replicates that converged", given, least: 2, most: None });
    }
    let names = fit.parameters.iter().map(|parameter| parameter.name.clone()).collect();
    Ok(Bootstrap::of(names, draws, options.replicates, fit.options.level))
}

impl Bootstrap {
    fn of(names: Vec<String>, draws: Vec<Vec<f64>>, replicates: usize, level: f64) -> Self {
        let column = |i: usize| -> Vec<f64> { draws.iter().map(|draw| draw[i]).collect() };
        Bootstrap {
            failed: replicates - draws.len(),
            standard_errors: (0..names.len()).map(|i| deviation(&column(i))).collect(),
            intervals: (0..names.len()).map(|i| percentiles(column(i), level)).collect(),
            names,
            draws,
        }
    }

    /// The same of other numbers: `outside` gives parameter i, a value of it, what it stands for.
    pub fn seen_from(self, level: f64, outside: impl Fn(usize, f64) -> f64) -> Self {
        let replicates = self.draws.len() + self.failed;
        let turn =
            |draw: Vec<f64>| draw.into_iter().enumerate().map(|(i, value)| outside(i, value)).collect();
        Bootstrap::of(self.names, self.draws.into_iter().map(turn).collect(), replicates, level)
    }
}

/// Errors to draw from: observed less calculated, of the variance the errors have rather than the
/// residuals, about their mean.
fn errors(fit: &Fit) -> Vec<f64> {
    let rows = influence(fit).into_iter().zip(&fit.minimum.residuals);
    let raw: Vec<f64> = rows
        .map(|(row, r)| if row.leverage < 1.0 - 1e-10 { -r / (1.0 - row.leverage).sqrt() } else { -r })
        .collect();
    let mean = raw.iter().sum::<f64>() / raw.len() as f64;
    raw.iter().map(|error| error - mean).collect()
}

fn deviation(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (squares / (values.len() - 1) as f64).sqrt()
}

fn percentiles(mut values: Vec<f64>, level: f64) -> [f64; 2] {
    values.sort_by(f64::total_cmp);
    [0.5 - 0.5 * level, 0.5 + 0.5 * level].map(|part| of_ordered(&values, part))
}
