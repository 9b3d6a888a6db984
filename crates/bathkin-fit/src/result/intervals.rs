//! How wide an interval is when the residuals tell several sizes of errors, or a prior tells part of it.
//!
//! A standard error takes the sizes as known. Of the information on a value with the derivatives g let
//!
//! π_c = Σ_c (J_r C g)² / Σ (J_r C g)²
//!
//! come from the rows of column c, whose size was told by ν_c = n_c - Σ h rows to spare. A known weight, that of
//! a prior, has no ν. Then
//!
//! variance: × 1 + 4 Σ π_c (1 - π_c)/ν_c,  degrees of freedom: 1/Σ (π_c²/ν_c),
//!
//! so one column alone has its n - p, a number that its prior alone tells the normal quantile, and columns
//! that share a number the wider interval that weights from few residuals deserve.
//! Source: P. Meier, *Variance of a weighted mean*, Biometrics 9 (1953) 59-73, for weights from few residuals;
//! F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110-114, for the degrees of freedom. To first order in
//! 1/ν_c: good from about four rows to spare in each column.

use nalgebra::DVector;

use crate::estimate::error_scale::spare;
use crate::result::recipe_fit::RecipeFit;
use bathkin_statistics::Scale;
use bathkin_statistics::fit::Fit;
use bathkin_statistics::quantiles::{of_freedom, two_sided};

impl RecipeFit {
    /// Half-width of the interval of a value with these derivatives, in its standard errors; `None` without a
    /// degree of freedom.
    pub(crate) fn quantile(&self, gradient: &[f64], level: f64) -> Option<f64> {
        if self.fit.options.scale == Scale::Known {
            return two_sided(level, None);
        }
        let alone = self.model.columns.len() == 1 && self.priors.is_empty();
        if alone || self.fit.variance.is_none() {
            return two_sided(level, Some(self.fit.degrees_of_freedom));
        }
        let (parts, spare) = self.parts(gradient);
        let told = || parts.iter().zip(&spare);
        let wider = 1.0 + 4.0 * told().map(|(part, spare)| part * (1.0 - part) / spare).sum::<f64>();
        let freedom = 1.0 / told().map(|(part, spare)| part * part / spare).sum::<f64>();
        of_freedom(level, freedom).map(|quantile| quantile * wider.sqrt())
    }

    /// The fit with that half-width for its bands and profiles.
    pub(crate) fn with_quantile(&self, gradient: &[f64], level: f64) -> Fit {
        let mut fit = self.fit.clone();
        fit.options.level = level;
        fit.own_quantile = self.quantile(gradient, level);
        fit
    }

    /// Part of the information from each column, and rows to spare in it.
    fn parts(&self, gradient: &[f64]) -> (Vec<f64>, Vec<f64>) {
        // A size that nothing tells counts as told by half a row.
        const LEAST: f64 = 0.5;
        let minimum = &self.fit.minimum;
        let along = minimum.spectrum.inverse_normal_matrix() * DVector::from_row_slice(gradient);
        let by_row = &minimum.jacobian * along;
        let mut parts = vec![0.0; self.model.columns.len()];
        for (place, row) in self.model.rows.iter().enumerate() {
            parts[row.column] += by_row[place].powi(2);
        }
        // Rows of priors stand behind those of the data.
        let whole = by_row.norm_squared();
        if whole > 0.0 {
            parts.iter_mut().for_each(|part| *part /= whole);
        }
        let spare = spare(&self.model, &minimum.spectrum.leverage());
        (parts, spare.into_iter().map(|spare| f64::max(spare, LEAST)).collect())
    }
}
