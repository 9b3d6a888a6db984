//! The numbers that users of lmfit and statsmodels know, by their names.
//!
//! With the residuals r of n measured values y, in sigmas, and χ² = Σ r², the log-likelihood of normal errors is
//!
//! ln L = -½ [χ² + n ln 2π] - Σ ln σ (absolute sigmas),
//!
//! ln L = -½ n [ln(2π χ²/n) + 1] - Σ ln σ (a common factor of the sigmas at its most likely value),
//!
//! σ in the unit of y: of relative errors it is sigma times y. A value below a limit of detection adds ln Φ(z) in
//! place of its terms. With groups ln L is the greatest marginal one
//! ([`bathkin_statistics::mixed`]), the variance between groups of each label counts as a parameter, and χ² is rᵀV⁻¹r in units of
//! the variance within. Then AIC = -2 ln L + 2k and BIC = -2 ln L + k ln n, k = determined parameters, and one for an
//! estimated factor: those of statsmodels and of K. P. Burnham and D. R. Anderson, *Model Selection and Multimodel
//! Inference*, 2nd ed., Springer 2002. lmfit's n ln(χ²/n) + 2k leaves out what does not depend on the model:
//! differences of fits of the same values are the same, but for the parameter counted for the factor.

use std::f64::consts::PI;

use bathkin_statistics::Scale;
use bathkin_statistics::criteria::criteria;
use schemars::JsonSchema;
use serde::Serialize;

use crate::data::rows::Row;
use crate::objective::free::ParameterScale;
use crate::result::solution::Solution;

/// Statistics of a fit.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct FitStatistics {
    /// Measured values, priors not counted.
    pub ndata: usize,
    /// Free parameters.
    pub nvarys: usize,
    /// Residual degrees of freedom: values less determined parameters, or what priors leave of them.
    pub nfree: usize,
    /// Evaluations of the model in the last search.
    pub nfev: usize,
    /// χ²: sum of squares of the residuals of the measured values, in sigmas.
    pub chisqr: f64,
    /// χ²/nfree; `None` without a degree of freedom.
    pub redchi: Option<f64>,
    /// ln L; `None` with priors, with a robust loss, for a perfect fit of estimated errors, and where the error
    /// variances of several columns were estimated, or that of values below a limit.
    pub llf: Option<f64>,
    /// Akaike's criterion.
    pub aic: Option<f64>,
    /// Schwarz's criterion.
    pub bic: Option<f64>,
}

impl Solution {
    /// The numbers that users of lmfit and statsmodels know.
    pub fn statistics(&self) -> FitStatistics {
        let of_rows = || self.residuals().iter().map(|residual| residual * residual).sum();
        let chisqr: f64 = if self.mixed.is_some() { self.fit.sum_of_squares() } else { of_rows() };
        let (ndata, nfree) = (self.model.rows.len(), self.fit.degrees_of_freedom);
        let llf = self.log_likelihood(chisqr);
        let counted = || criteria(&self.fit).counted;
        let k = self.mixed.as_ref().map_or_else(counted, |mixed| mixed.criteria().counted) as f64;
        FitStatistics {
            ndata,
            nvarys: self.model.free.len(),
            nfree,
            nfev: self.fit.minimum.evaluations,
            chisqr,
            redchi: (nfree > 0).then(|| chisqr / nfree as f64),
            llf,
            aic: llf.map(|llf| -2.0 * llf + 2.0 * k),
            bic: llf.map(|llf| -2.0 * llf + k * (ndata as f64).ln()),
        }
    }

    fn log_likelihood(&self, chisqr: f64) -> Option<f64> {
        let known = self.fit.options.scale == Scale::Known;
        self.criteria().filter(|_| known || self.model.columns.len() == 1)?;
        let read = || self.model.rows.iter().filter(|row| !row.observed.below);
        let n = read().count() as f64;
        let ln_sigma = |row: &Row| {
            let column = &self.model.columns[row.column];
            let sigma = column.size * column.errors.sigma(row.observed);
            let unit = if column.errors.is_logarithmic() { row.observed.value } else { 1.0 };
            (sigma * unit).ln()
        };
        if let Some(mixed) = &self.mixed {
            return Some(mixed.marginal_log_likelihood() - read().map(ln_sigma).sum::<f64>());
        }
        let of_rows =
            if known { chisqr + n * (2.0 * PI).ln() } else { n * ((2.0 * PI * chisqr / n).ln() + 1.0) };
        let llf = -0.5 * of_rows - read().map(ln_sigma).sum::<f64>();
        llf.is_finite().then_some(llf)
    }

    /// Covariance of the free parameters in the recipe's units, in their order, row by row; to first order for those
    /// fitted on a log scale. `None` where one of the two has no standard error.
    pub fn covar(&self) -> Vec<Vec<Option<f64>>> {
        let slope = |place: usize| match self.model.free[place].scale {
            ParameterScale::Log => self.estimates[place].value,
            ParameterScale::Linear => 1.0,
        };
        let determined = |a: usize, b: usize| self.is_determined(a) && self.is_determined(b);
        let of = |a: usize, b: usize| {
            determined(a, b).then(|| slope(a) * slope(b) * self.fit.covariance[(a.min(b), a.max(b))])
        };
        let count = self.model.free.len();
        (0..count).map(|a| (0..count).map(|b| of(a, b)).collect()).collect()
    }
}
