//! Estimates and variances together.

use nalgebra::DMatrix;

use crate::criteria::{Criteria, corrected};
use crate::error::FitError;
use crate::fit::{Fit, fit};
use crate::mixed::freedom::Information;
use crate::mixed::grouping::Grouping;
use crate::mixed::likelihood::{Likelihood, Variances};
use crate::mixed::linear::Linear;
use crate::mixed::solved::Solved;
use crate::mixed::whitening::{Whitened, Whitening};
use crate::options::{FitOptions, Scale};
use crate::residual_model::ResidualModel;

/// A fit with random effects.
#[derive(Debug, Clone)]
pub struct Mixed {
    /// Generalised least squares: residuals and J are whitened ones, C and standard errors those of the estimates.
    pub fit: Fit,
    /// W at its variances.
    pub whitening: Whitening,
    pub(crate) linear: Linear,
    pub(crate) solved: Solved,
    which: Likelihood,
    within: f64,
    information: Information,
}

/// Fits a model whose rows belong to groups, from a start.
///
/// `weights` are z, what a change of a value by one makes of its residual.
///
/// # Errors
/// [`FitError`], of the plain fit too; [`GroupingError`](crate::mixed::GroupingError) where no scatter between or within groups
/// is left.
///
/// ```
/// use bathkin_statistics::mixed::{Grouping, Likelihood, fit_mixed};
/// use bathkin_statistics::{FitOptions, ResidualModel};
/// use bathkin_numerics::least_squares::Residuals;
/// use std::convert::Infallible;
///
/// /// A mean of values of four batches.
/// struct Mean(Vec<String>);
///
/// const Y: [f64; 8] = [2.1, 2.3, 3.0, 3.2, 1.0, 1.4, 2.6, 2.2];
///
/// impl Residuals for Mean {
///     type Error = Infallible;
///     fn parameters(&self) -> usize { 1 }
///     fn rows(&self) -> usize { 8 }
///     fn residuals(&self, at: &[f64], f: &mut [f64]) -> Result<(), Infallible> {
///         f.iter_mut().zip(Y).for_each(|(f, y)| *f = at[0] - y);
///         Ok(())
///     }
///     fn linearise(&self, at: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Infallible> {
///         j.fill(1.0);
///         self.residuals(at, f)
///     }
/// }
///
/// impl ResidualModel for Mean {
///     fn names(&self) -> &[String] { &self.0 }
/// }
///
/// let batch = ["a", "a", "b", "b", "c", "c", "d", "d"].map(str::to_owned).to_vec();
/// let rows = Grouping::new(&[("batch".to_owned(), batch)])?;
/// let model = Mean(vec!["mean".to_owned()]);
/// let found = fit_mixed(&model, &rows, &[1.0; 8], &[0.0], &FitOptions::default(), Likelihood::Restricted)?;
/// // Of a balanced sheet they are those of the analysis of variance: mean squares between 1.23167 and within 0.05.
/// assert!((found.within() - 0.05).abs() < 1e-7);
/// assert!((found.between(0) - (1.231_666_667 - 0.05) / 2.0).abs() < 1e-6);
/// assert!((found.freedom(&[1.0]).unwrap() - 3.0).abs() < 1e-6);
/// # Ok::<(), bathkin_statistics::FitError>(())
/// ```
pub fn fit_mixed<M: ResidualModel>(
    model: &M,
    grouping: &Grouping,
    weights: &[f64],
    start: &[f64],
    options: &FitOptions,
    which: Likelihood,
) -> Result<Mixed, FitError> {
    let plain = fit(model, start, options)?;
    mixed(model, (grouping, weights), plain, which, |whitening, start| {
        fit(&Whitened { model, whitening }, start, options)
    })
}

/// The same from a fit without effects; `solve` fits the whitened model from a start.
///
/// # Errors
/// As [`fit_mixed`], and those of `solve`.
pub fn mixed<M: ResidualModel, E: From<FitError>>(
    model: &M,
    (grouping, weights): (&Grouping, &[f64]),
    plain: Fit,
    which: Likelihood,
    mut solve: impl FnMut(&Whitening, &[f64]) -> Result<Fit, E>,
) -> Result<Mixed, E> {
    const ROUNDS: usize = 100;
    // Of a ratio, or of one at which groups differ as rows do.
    const STILL: f64 = 1e-6;
    if [weights.len(), grouping.finest().of_row.len()] != [model.rows(); 2] {
        let (first_rows, second_rows) = (weights.len(), model.rows());
        return Err(
            FitError::Length { first: "weights", first_rows, second: "residuals", second_rows }.into()
        );
    }
    let scale = plain.options.scale;
    let about = |fit: &Fit| linear(model, fit, (grouping, weights));
    let first = about(&plain)?;
    first.check(scale).map_err(FitError::from)?;
    let mut sought = first.greatest(which, scale);
    let mut start = plain.values().to_vec();
    for _ in 0..ROUNDS {
        let whitening = Whitening::new(grouping, weights, &sought.ratios);
        let fit = solve(&whitening, &start)?;
        let linear = about(&fit)?;
        let next = linear.greatest(which, scale);
        let usual = linear.usual_ratio();
        let moved = |(before, now): (&f64, &f64)| (now - before).abs() > STILL * (before + STILL * usual);
        if sought.ratios.iter().zip(&next.ratios).any(moved) {
            start = fit.values().to_vec();
            sought = next;
            continue;
        }
        return Mixed::new(fit, whitening, linear, sought, which)
            .ok_or_else(|| FitError::NoScatter { method: "the variances between and within groups" }.into());
    }
    Err(FitError::NotConverged { reason: "variances", evaluations: ROUNDS, failures: 0, parameters: start }
        .into())
}

/// Residuals and slopes of the model itself at the estimates.
fn linear<M: ResidualModel>(model: &M, at: &Fit, of: (&Grouping, &[f64])) -> Result<Linear, FitError> {
    let (rows, parameters) = (model.rows(), model.parameters());
    let (mut residuals, mut jacobian) = (vec![0.0; rows], vec![0.0; rows * parameters]);
    model
        .linearise(at.values(), &mut residuals, &mut jacobian)
        .map_err(|error| FitError::ModelFails { cause: error.to_string() })?;
    let jacobian = DMatrix::from_row_slice(rows, parameters, &jacobian);
    let solver = &at.options.solver;
    let columns: Vec<usize> = (0..parameters).filter(|place| !at.minimum.at_bound[*place]).collect();
    Ok(Linear::about(&residuals, &jacobian, &columns, solver.rank_tolerance, solver.least_norm, of))
}

impl Mixed {
    fn new(
        fit: Fit,
        whitening: Whitening,
        linear: Linear,
        found: Variances,
        which: Likelihood,
    ) -> Option<Self> {
        let solved = linear.solve(&found.ratios)?;
        let scale = fit.options.scale;
        let within = linear.within(&solved, which, scale);
        // Values that are met exactly have no errors to tell variances by.
        if !(within > 0.0 && within.is_finite()) {
            return None;
        }
        let information = Information::new(&linear, &solved, within, scale);
        Some(Mixed { fit, whitening, linear, solved, which, within, information })
    }

    /// The rows by their labels.
    pub fn grouping(&self) -> &Grouping {
        &self.linear.grouping
    }

    /// s², in sigmas squared.
    pub fn within(&self) -> f64 {
        self.within
    }

    /// τ of a level, the coarser first, in the unit of the effects squared.
    pub fn between(&self, level: usize) -> f64 {
        self.within * self.solved.ratios[level]
    }

    /// Which likelihood the variances make greatest.
    pub fn likelihood(&self) -> Likelihood {
        self.which
    }

    pub(crate) fn scale(&self) -> Scale {
        self.fit.options.scale
    }

    /// ln L at the estimates, of residuals in sigmas.
    pub fn log_likelihood(&self) -> f64 {
        -0.5 * self.linear.deviance_of(&self.solved, self.within, self.which)
    }

    /// The greatest marginal ln L, of residuals in sigmas, on the linear approximation: what compares models with other
    /// free numbers.
    pub fn marginal_log_likelihood(&self) -> f64 {
        -0.5 * self.linear.greatest(Likelihood::Marginal, self.scale()).deviance
    }

    /// Criteria from the marginal likelihood, on the scale of [`criteria`](crate::criteria::criteria): the variances of the
    /// levels are counted too.
    pub fn criteria(&self) -> Criteria {
        let rows = self.linear.rows();
        let n = rows as f64;
        let estimated = self.scale() == Scale::Estimated;
        let of_rows = (2.0 * std::f64::consts::PI).ln() + f64::from(u8::from(estimated));
        let deviance = -2.0 * self.marginal_log_likelihood() - n * of_rows;
        let counted = self.linear.rank() + self.solved.ratios.len() + usize::from(estimated);
        let deviance = deviance.is_finite().then_some(deviance);
        Criteria {
            aicc: deviance.and_then(|deviance| corrected(deviance, counted, rows)),
            bic: deviance.map(|deviance| deviance + counted as f64 * n.ln()),
            counted,
        }
    }

    /// Degrees of freedom of the interval of a value with these derivatives by the parameters; `None` where the variances are
    /// not determined.
    pub fn freedom(&self, gradient: &[f64]) -> Option<f64> {
        self.information.freedom(&self.solved, self.within, &self.linear.along(gradient))
    }
}
