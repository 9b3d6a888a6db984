//! A fit and its parameters: value, standard error, interval, or why there is none.
//!
//! With J the derivatives of the residuals at the minimum and S their sum of squares,
//!
//! C = s² (JᵀJ)⁻¹, s² = S/ν or 1, ν = rows - rank of J,
//!
//! the linear approximation of G. A. F. Seber and C. J. Wild, *Nonlinear Regression*, Wiley 1989, chapter
//! 2. Assumes a minimum inside the bounds, independent errors, and a model nearly linear over the width
//! of the intervals; where it is not, see [`profile`](crate::profile). Parameters on a bound count as
//! known: they are in neither C nor ν. Under a robust loss s² and the factor of (JᵀJ)⁻¹ are those of `robust.rs`.

use bathkin_numerics::least_squares::{Bounds, LeastSquaresError, Loss, Minimum, Residuals, least_squares};
use nalgebra::DMatrix;
use std::fmt::Display;

use crate::error::FitError;
use crate::options::{FitOptions, Scale};
use crate::parameter::{Combination, Determination, Parameter};
use crate::quantiles::two_sided;
use crate::residual_model::ResidualModel;
use crate::robust::{RobustFactors, robust};

/// A unit vector's part in a combination; smaller ones are rounding of the decomposition.
pub(crate) const PART_IN_COMBINATION: f64 = 1e-3;

/// A converged fit.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Parameters, in the model's order.
    pub parameters: Vec<Parameter>,
    /// C; rows and columns of parameters without a standard error are zero.
    pub covariance: DMatrix<f64>,
    /// ν, rows less determined combinations of the parameters that lie on no bound.
    pub degrees_of_freedom: usize,
    /// s²; `None` if it is to be estimated and ν = 0.
    pub variance: Option<f64>,
    /// Combinations that the data do not determine.
    pub undetermined: Vec<Combination>,
    /// Minimum: residuals, J, singular values, counts, and why it ended.
    pub minimum: Minimum,
    /// The options it was made with.
    pub options: FitOptions,
    /// What a robust loss makes of s².
    pub(crate) robust: RobustFactors,
    /// Half-width of its intervals in standard errors, where it is not that of ν.
    pub own_quantile: Option<f64>,
}

impl Fit {
    /// 2F: the sum of squares, or of the loss.
    pub fn sum_of_squares(&self) -> f64 {
        2.0 * self.minimum.cost
    }

    /// Factor of (JᵀJ)⁻¹ in C: s², but under a robust loss.
    pub fn factor(&self) -> Option<f64> {
        self.variance.map(|variance| self.robust.on_variance * variance)
    }

    /// The values of the parameters.
    pub fn values(&self) -> &[f64] {
        &self.minimum.parameters
    }

    /// Correlation of two parameters; `None` when one has no standard error.
    pub fn correlation(&self, a: usize, b: usize) -> Option<f64> {
        let of = |i: usize| self.parameters.get(i).and_then(|parameter| parameter.standard_error);
        let product = of(a)? * of(b)?;
        (product > 0.0).then(|| (self.covariance[(a, b)] / product).clamp(-1.0, 1.0))
    }

    /// Half-width of its intervals in standard errors.
    pub fn quantile(&self) -> Option<f64> {
        let freedom = (self.options.scale == Scale::Estimated).then_some(self.degrees_of_freedom);
        self.own_quantile.or_else(|| two_sided(self.options.level, freedom))
    }
}

/// Fits a model from a start.
///
/// # Errors
/// [`FitError`]: arguments that do not fit, a start where the model fails, no convergence.
///
/// ```
/// use bathkin_statistics::{FitOptions, ResidualModel, fit};
/// use bathkin_numerics::least_squares::Residuals;
/// use std::convert::Infallible;
///
/// /// y = a exp(-b t) at t = 0, 1, 2, 3.
/// struct Decay {
///     names: Vec<String>,
/// }
///
/// const Y: [f64; 4] = [4.02, 2.71, 1.79, 1.22];
///
/// impl Residuals for Decay {
///     type Error = Infallible;
///     fn parameters(&self) -> usize { 2 }
///     fn rows(&self) -> usize { 4 }
///     fn residuals(&self, at: &[f64], f: &mut [f64]) -> Result<(), Infallible> {
///         self.linearise(at, f, &mut [0.0; 8])
///     }
///     fn linearise(&self, at: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Infallible> {
///         for row in 0..4 {
///             let t = row as f64;
///             let e = (-at[1] * t).exp();
///             f[row] = at[0] * e - Y[row];
///             j[2 * row..2 * row + 2].copy_from_slice(&[e, -at[0] * t * e]);
///         }
///         Ok(())
///     }
/// }
///
/// impl ResidualModel for Decay {
///     fn names(&self) -> &[String] { &self.names }
/// }
///
/// let model = Decay { names: vec!["a".to_owned(), "b".to_owned()] };
/// let found = fit(&model, &[1.0, 0.1], &FitOptions::default())?;
/// let b = &found.parameters[1];
/// assert!((b.value - 0.4).abs() < 0.01 && b.standard_error.unwrap() < 0.01);
/// # Ok::<(), bathkin_statistics::FitError>(())
/// ```
pub fn fit<M: ResidualModel>(model: &M, start: &[f64], options: &FitOptions) -> Result<Fit, FitError> {
    let names = model.names();
    if names.len() != model.parameters() {
        return Err(FitError::Length {
            first: "names",
            first_rows: names.len(),
            second: "parameters",
            second_rows: model.parameters(),
        });
    }
    let minimum = minimise(model, start, options)?;
    Ok(describe(names, minimum, options))
}

/// The minimum alone, or why there is none.
pub(crate) fn minimise<P: Residuals<Error: Display>>(
    problem: &P,
    start: &[f64],
    options: &FitOptions,
) -> Result<Minimum, FitError> {
    let free;
    let bounds = match &options.bounds {
        Some(bounds) => bounds,
        None => {
            free = Bounds::none(problem.parameters());
            &free
        }
    };
    let minimum = least_squares(problem, start, bounds, &options.solver).map_err(|error| match error {
        LeastSquaresError::Argument { what, index, value, expected } => {
            FitError::Value { row: index + 1, column: what, value, expected }
        }
        LeastSquaresError::Start(cause) => FitError::ModelFails { cause: cause.to_string() },
        LeastSquaresError::NotFinite { index } => {
            FitError::NotFinite { what: "residual or derivative", place: index }
        }
    })?;
    if !minimum.termination.converged() {
        return Err(FitError::NotConverged {
            reason: minimum.termination.code(),
            evaluations: minimum.evaluations,
            failures: minimum.failures,
            parameters: minimum.parameters,
        });
    }
    Ok(minimum)
}

fn describe(names: &[String], minimum: Minimum, options: &FitOptions) -> Fit {
    let freedom = minimum.residuals.len().saturating_sub(minimum.spectrum.rank);
    if options.solver.loss != Loss::Linear {
        let (variance, robust) = robust(&minimum, options, freedom);
        return describe_robustly(names, minimum, options, freedom, variance, robust);
    }
    let variance = match options.scale {
        Scale::Known => Some(1.0),
        Scale::Estimated => (freedom > 0).then(|| 2.0 * minimum.cost / freedom as f64),
    };
    describe_with(names, minimum, options, freedom, variance)
}

/// A fit whose ν and s² are settled.
pub fn describe_with(
    names: &[String],
    minimum: Minimum,
    options: &FitOptions,
    freedom: usize,
    variance: Option<f64>,
) -> Fit {
    describe_robustly(names, minimum, options, freedom, variance, RobustFactors::default())
}

fn describe_robustly(
    names: &[String],
    minimum: Minimum,
    options: &FitOptions,
    freedom: usize,
    variance: Option<f64>,
    robust: RobustFactors,
) -> Fit {
    let spectrum = &minimum.spectrum;
    let nulls = spectrum.null_directions();
    let determination = |i: usize| {
        if minimum.at_bound[i] {
            Determination::AtBound
        } else if spectrum.no_influence.contains(&i) {
            Determination::NoInfluence
        } else if nulls.iter().any(|null| null.scaled[i].abs() > PART_IN_COMBINATION) {
            Determination::RankDeficient
        } else if variance.is_none() {
            Determination::ZeroDegreesOfFreedom
        } else {
            Determination::Ok
        }
    };
    let determined: Vec<Determination> = (0..names.len()).map(determination).collect();
    let mut covariance = spectrum.inverse_normal_matrix() * (robust.on_variance * variance.unwrap_or(0.0));
    for (i, _) in determined.iter().enumerate().filter(|(_, how)| **how != Determination::Ok) {
        covariance.row_mut(i).fill(0.0);
        covariance.column_mut(i).fill(0.0);
    }
    let undetermined = nulls
        .iter()
        .map(|null| Combination {
            change: (0..names.len())
                .filter(|i| {
                    determined[*i] == Determination::RankDeficient
                        && null.scaled[*i].abs() > PART_IN_COMBINATION
                })
                .map(|i| (names[i].clone(), null.parameters[i]))
                .collect(),
            relative_singular_value: null.relative_singular_value,
        })
        .collect();
    let mut fit = Fit {
        parameters: Vec::new(),
        covariance,
        degrees_of_freedom: freedom,
        variance,
        undetermined,
        minimum,
        options: options.clone(),
        robust,
        own_quantile: None,
    };
    let quantile = fit.quantile();
    fit.parameters = names
        .iter()
        .enumerate()
        .map(|(i, name)| {
            let value = fit.minimum.parameters[i];
            let standard_error = (determined[i] == Determination::Ok).then(|| fit.covariance[(i, i)].sqrt());
            Parameter {
                name: name.clone(),
                value,
                standard_error,
                interval: interval(value, standard_error, quantile),
                determination: determined[i],
            }
        })
        .collect();
    fit
}

/// value ± quantile × standard error.
pub fn interval(value: f64, standard_error: Option<f64>, quantile: Option<f64>) -> Option<[f64; 2]> {
    standard_error.zip(quantile).map(|(error, quantile)| [value - quantile * error, value + quantile * error])
}
