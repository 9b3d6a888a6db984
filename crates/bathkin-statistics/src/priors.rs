//! What was known of parameters before: normal priors as further rows of the residuals.
//!
//! A prior of mean m and standard deviation d on a parameter p, both on the scale it is fitted on, adds the row
//! (p - m)/d. The minimum of
//!
//! S(p)/s² + Σ ((p - m)/d)², S = Σ r²,
//!
//! is the most probable point (MAP), and with P = diag(1/d²)
//!
//! C = (JᵀJ/s² + P)⁻¹
//!
//! its covariance in Laplace's approximation, exact for linear models. With [`Scale::Known`] s = 1. With
//! [`Scale::Estimated`] the rows of priors are multiplied by s, so that the sd of a prior keeps its meaning
//! whatever the residuals were divided by, and s solves
//!
//! s² = S/ν, ν = n - tr[J (JᵀJ + s² P)⁻¹ Jᵀ],
//!
//! n rows of data, whose part in the hat matrix is what they have spent on parameters: D. J. C. MacKay,
//! *Bayesian interpolation*, Neural Computation 4 (1992) 415-447. Fit and s are repeated in turn until s²
//! stands still.

use bathkin_numerics::least_squares::{LeastSquaresOptions, Loss, Minimum, Residuals};
use serde::Serialize;

use crate::error::FitError;
use crate::fit::{Fit, describe_with, minimise};
use crate::options::{FitOptions, Scale};
use crate::residual_model::ResidualModel;

/// A normal prior on one parameter, on the scale it is fitted on: of its logarithm on a log scale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NormalPrior {
    /// Place of the parameter.
    pub parameter: usize,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
}

impl NormalPrior {
    fn residual(&self, at: &[f64]) -> f64 {
        (at[self.parameter] - self.mean) / self.sd
    }
}

/// A model and its priors: the rows of the model, then a row s (p - m)/d for each prior.
pub struct WithPriors<'a, M> {
    model: &'a M,
    priors: &'a [NormalPrior],
    scale: f64,
}

impl<'a, M: ResidualModel> WithPriors<'a, M> {
    /// With s = `scale`: 1 where sigma is known.
    ///
    /// # Errors
    /// [`FitError`]: a prior on no parameter of the model, a mean that is not finite, an sd or a scale that
    /// is not above zero.
    pub fn new(model: &'a M, priors: &'a [NormalPrior], scale: f64) -> Result<Self, FitError> {
        for (place, prior) in priors.iter().enumerate() {
            let value = |column, value, expected| FitError::Value { row: place + 1, column, value, expected };
            if prior.parameter >= model.parameters() {
                let expected = "the place of a parameter of the model, from 0";
                return Err(value("parameter of the prior", prior.parameter as f64, expected));
            }
            if !prior.mean.is_finite() {
                return Err(value("mean of the prior", prior.mean, "a finite number"));
            }
            if !(prior.sd > 0.0 && prior.sd.is_finite()) {
                return Err(value("sd of the prior", prior.sd, "a finite number above zero"));
            }
        }
        if !(scale > 0.0 && scale.is_finite()) {
            return Err(FitError::Argument {
                name: "scale of the residuals",
                value: scale,
                expected: "a finite number above zero",
            });
        }
        Ok(WithPriors { model, priors, scale })
    }

    fn prior_rows(&self, at: &[f64], residuals: &mut [f64]) {
        for (residual, prior) in residuals[self.model.rows()..].iter_mut().zip(self.priors) {
            *residual = self.scale * prior.residual(at);
        }
    }
}

impl<M: ResidualModel> Residuals for WithPriors<'_, M> {
    type Error = M::Error;

    fn parameters(&self) -> usize {
        self.model.parameters()
    }

    fn rows(&self) -> usize {
        self.model.rows() + self.priors.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Self::Error> {
        self.prior_rows(at, residuals);
        self.model.residuals(at, &mut residuals[..self.model.rows()])
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Self::Error> {
        let (rows, columns) = (self.model.rows(), self.parameters());
        self.prior_rows(at, residuals);
        let (data, of_priors) = jacobian.split_at_mut(rows * columns);
        of_priors.fill(0.0);
        for (row, prior) in self.priors.iter().enumerate() {
            of_priors[row * columns + prior.parameter] = self.scale / prior.sd;
        }
        self.model.linearise(at, &mut residuals[..rows], data)
    }
}

impl<M: ResidualModel> ResidualModel for WithPriors<'_, M> {
    fn names(&self) -> &[String] {
        self.model.names()
    }

    /// A prior is a case of its own.
    fn case_of(&self, row: usize) -> usize {
        if row < self.model.rows() { self.model.case_of(row) } else { usize::MAX - (row - self.model.rows()) }
    }
}

/// A fit with priors.
#[derive(Debug, Clone)]
pub struct PosteriorFit {
    /// The most probable point and its covariance. Residuals and J have the rows of the data, then those of
    /// the priors times s; degrees of freedom are ν rounded down. Its sum of squares holds the priors, so
    /// information criteria and tests of lack of fit do not apply to it.
    pub fit: Fit,
    /// ν: rows of data less what they spent on parameters.
    pub effective_degrees_of_freedom: f64,
    /// s: 1 where sigma is known.
    pub scale: f64,
    /// S, the sum of squares of the data alone.
    pub data_sum_of_squares: f64,
    /// Σ ((p - m)/d)², which should be about the number of priors or less: more of it is a prior at odds with
    /// the data.
    pub prior_sum_of_squares: f64,
    /// Prior weights: for each prior how far it, and not the data, determines its parameter, 0 not at all, 1 alone.
    pub prior_weights: Vec<f64>,
}

/// The most probable parameters under normal priors, from a start.
///
/// # Errors
/// [`FitError`]: what [`fit`](crate::fit::fit()) and [`WithPriors::new`] refuse; a loss other than the
/// linear one, under which a prior would not be normal; with an estimated scale, data that leave no scatter
/// to estimate it from.
///
/// ```
/// use bathkin_statistics::priors::{NormalPrior, fit_with_priors};
/// use bathkin_statistics::Scale;
/// use bathkin_statistics::{FitOptions, ResidualModel};
/// use bathkin_numerics::least_squares::Residuals;
/// use std::convert::Infallible;
///
/// /// A mean, observed as 3 and 5 with sigma 1.
/// struct Mean {
///     names: Vec<String>,
/// }
///
/// impl Residuals for Mean {
///     type Error = Infallible;
///     fn parameters(&self) -> usize { 1 }
///     fn rows(&self) -> usize { 2 }
///     fn residuals(&self, at: &[f64], f: &mut [f64]) -> Result<(), Infallible> {
///         f.copy_from_slice(&[at[0] - 3.0, at[0] - 5.0]);
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
/// let priors = [NormalPrior { parameter: 0, mean: 1.0, sd: 1.0 }];
/// let options = FitOptions { scale: Scale::Known, ..FitOptions::default() };
/// let found = fit_with_priors(&model, &priors, &[0.0], &options)?;
/// // (3 + 5 + 1)/3 with the variance 1/3.
/// assert!((found.fit.values()[0] - 3.0).abs() < 1e-12);
/// assert!((found.fit.covariance[(0, 0)] - 1.0 / 3.0).abs() < 1e-12);
/// # Ok::<(), bathkin_statistics::FitError>(())
/// ```
pub fn fit_with_priors<M: ResidualModel>(
    model: &M,
    priors: &[NormalPrior],
    start: &[f64],
    options: &FitOptions,
) -> Result<PosteriorFit, FitError> {
    if options.solver.loss != Loss::Linear {
        return Err(FitError::RobustLoss { method: "a normal prior" });
    }
    match options.scale {
        Scale::Known => {
            let minimum = minimise(&WithPriors::new(model, priors, 1.0)?, start, options)?;
            Ok(posterior(model, priors, minimum, 1.0, options))
        }
        Scale::Estimated => with_estimated_scale(model, priors, start, options),
    }
}

fn with_estimated_scale<M: ResidualModel>(
    model: &M,
    priors: &[NormalPrior],
    start: &[f64],
    options: &FitOptions,
) -> Result<PosteriorFit, FitError> {
    const ROUNDS: usize = 200;
    // S alone is not at its minimum: it feels an error of the parameters to the first order.
    let solver =
        LeastSquaresOptions { gradient_tolerance: 1e-15, decrease_tolerance: 1e-30, ..options.solver };
    let settled = FitOptions { solver, ..options.clone() };
    WithPriors::new(model, priors, 1.0)?;
    // From above: the scatter the data have without priors or, where they are too few for any, about the
    // start.
    let plain = minimise(model, start, options)?;
    let freedom = model.rows().saturating_sub(plain.spectrum.rank);
    let mut variance = if freedom > 0 {
        2.0 * plain.cost / freedom as f64
    } else {
        let mut residuals = vec![0.0; model.rows()];
        model
            .residuals(start, &mut residuals)
            .map_err(|error| FitError::ModelFails { cause: error.to_string() })?;
        residuals.iter().map(|r| r * r).sum::<f64>() / model.rows().max(1) as f64
    };
    if variance == 0.0 {
        return Err(no_scatter());
    }
    let mut at = start.to_vec();
    // F is known to the solver's resolution only.
    let tolerance = options.solver.resolution.max(1e-12);
    let mut evaluations = plain.evaluations;
    for _ in 0..ROUNDS {
        let scale = variance.sqrt();
        let minimum = minimise(&WithPriors::new(model, priors, scale)?, &at, &settled)?;
        evaluations += minimum.evaluations;
        let found = posterior(model, priors, minimum, scale, options);
        let next = found.data_sum_of_squares / found.effective_degrees_of_freedom;
        // As the variance goes to zero the data dominate the priors, and the curve meets them exactly.
        if !(found.effective_degrees_of_freedom > 1e-6 && next > 1e-24 * variance) {
            return Err(no_scatter());
        }
        if (next / variance - 1.0).abs() <= tolerance {
            return Ok(found);
        }
        variance = next;
        at.copy_from_slice(found.fit.values());
    }
    Err(FitError::NotConverged { reason: "scale", evaluations, failures: 0, parameters: at })
}

fn no_scatter() -> FitError {
    FitError::NoScatter { method: "estimating the scale of the errors" }
}

fn posterior<M: ResidualModel>(
    model: &M,
    priors: &[NormalPrior],
    minimum: Minimum,
    scale: f64,
    options: &FitOptions,
) -> PosteriorFit {
    let rows = model.rows();
    let leverage = minimum.spectrum.leverage();
    let (of_data, of_priors) = leverage.split_at(rows);
    let freedom = rows as f64 - of_data.iter().sum::<f64>();
    // Rounding must not cost a whole degree of freedom.
    let whole = (freedom + 1e-6).floor().max(0.0) as usize;
    let squares = |residuals: &[f64]| residuals.iter().map(|r| r * r).sum::<f64>();
    PosteriorFit {
        effective_degrees_of_freedom: freedom,
        scale,
        data_sum_of_squares: squares(&minimum.residuals[..rows]),
        prior_sum_of_squares: priors.iter().map(|prior| prior.residual(&minimum.parameters).powi(2)).sum(),
        prior_weights: of_priors.to_vec(),
        fit: describe_with(model.names(), minimum, options, whole, Some(scale * scale)),
    }
}

/// Logarithm of the posterior density up to a constant, for samplers.
///
/// -S/2 where sigma is known; where it is known to a factor, -(n/2) ln S, with that factor integrated out
/// under the prior 1/s of Jeffreys. To both -½ Σ ((p - m)/d)² is added. Negative infinity does not occur but
/// where S overflows; S = 0 under an estimated scale gives positive infinity.
///
/// # Errors
/// The model's own where it cannot be evaluated: a density of zero to a sampler.
///
/// # Panics
/// Where a prior names no parameter of the model; [`WithPriors::new`] checks.
pub fn log_posterior<M: ResidualModel>(
    model: &M,
    priors: &[NormalPrior],
    scale: Scale,
    at: &[f64],
) -> Result<f64, M::Error> {
    let mut residuals = vec![0.0; model.rows()];
    model.residuals(at, &mut residuals)?;
    let squares: f64 = residuals.iter().map(|r| r * r).sum();
    let likelihood = match scale {
        Scale::Known => -0.5 * squares,
        Scale::Estimated => -0.5 * residuals.len() as f64 * squares.ln(),
    };
    let prior: f64 = priors.iter().map(|prior| prior.residual(at).powi(2)).sum();
    Ok(likelihood - 0.5 * prior)
}
