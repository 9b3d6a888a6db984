//! Half-width of an interval with several estimated error variances, with priors, or with groups (Satterthwaite).
//!
//! A standard error takes the sizes as known. Of the information on a value with the derivatives g let
//!
//! π_c = Σ_c (J_r C g)² / Σ (J_r C g)²
//!
//! come from the rows of column c, whose size was estimated with ν_c = n_c - Σ h degrees of freedom. A known weight, that of
//! a prior, has no ν. Then
//!
//! variance: × 1 + 4 Σ π_c (1 - π_c)/ν_c,  degrees of freedom: 1/Σ (π_c²/ν_c),
//!
//! so one column alone has its n - p, a number that its prior alone determines the normal quantile, and columns
//! that share a number the wider interval of weights from few residuals.
//! With groups the degrees of freedom are those of [`Mixed::freedom`].
//! Source: P. Meier, *Variance of a weighted mean*, Biometrics 9 (1953) 59-73, for weights from few residuals;
//! F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110-114, for the degrees of freedom. To first order in
//! 1/ν_c: good from about four degrees of freedom in each column.

use bathkin_statistics::Scale;
use bathkin_statistics::fit::{Fit, interval as around};
use bathkin_statistics::mixed::Mixed;
use bathkin_statistics::quantiles::of_freedom;
use nalgebra::DVector;

use crate::estimate::error_scale::degrees_of_freedom;
use crate::objective::residuals::RecipeModel;

/// Derivatives of one of the parameters by all.
pub(crate) fn only(fit: &Fit, place: usize) -> Vec<f64> {
    (0..fit.parameters.len()).map(|i| if i == place { 1.0 } else { 0.0 }).collect()
}

/// What intervals are made of.
#[derive(Clone, Copy)]
pub(crate) struct Uncertain<'a> {
    pub fit: &'a Fit,
    pub model: &'a RecipeModel,
    pub mixed: Option<&'a Mixed>,
    pub has_priors: bool,
}

/// Half-width of an interval in standard errors, and the degrees of freedom it has; infinitely many are normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HalfWidth {
    pub quantile: f64,
    pub freedom: f64,
}

/// Interval of an estimate, in the recipe's numbers.
pub(crate) fn interval(of: &Uncertain<'_>, place: usize, level: f64) -> Option<[f64; 2]> {
    let parameter = &of.fit.parameters[place];
    let scale = of.model.free[place].scale;
    let quantile = parameter.standard_error.and_then(|_| half_width(of, &only(of.fit, place), level));
    let ends = around(parameter.value, parameter.standard_error, quantile.map(|of| of.quantile));
    ends.map(|ends| ends.map(|end| scale.outside(end)))
}

/// Half-width of the interval of a value with these derivatives; `None` without a degree of freedom.
pub(crate) fn half_width(of: &Uncertain<'_>, gradient: &[f64], level: f64) -> Option<HalfWidth> {
    let &Uncertain { fit, model, mixed, has_priors } = of;
    let of_student =
        |freedom: f64| of_freedom(level, freedom).map(|quantile| HalfWidth { quantile, freedom });
    if let Some(mixed) = mixed {
        return mixed.freedom(gradient).and_then(of_student);
    }
    if fit.options.scale == Scale::Known {
        return of_student(f64::INFINITY);
    }
    let alone = model.columns.len() == 1 && !has_priors;
    if alone || fit.variance.is_none() {
        return of_student(fit.degrees_of_freedom as f64);
    }
    let (parts, freedom) = parts(fit, model, gradient);
    let by_column = || parts.iter().zip(&freedom);
    let wider = 1.0 + 4.0 * by_column().map(|(part, freedom)| part * (1.0 - part) / freedom).sum::<f64>();
    let effective = 1.0 / by_column().map(|(part, freedom)| part * part / freedom).sum::<f64>();
    of_student(effective).map(|of| HalfWidth { quantile: of.quantile * wider.sqrt(), ..of })
}

/// Part of the information from each column, and its residual degrees of freedom.
fn parts(fit: &Fit, model: &RecipeModel, gradient: &[f64]) -> (Vec<f64>, Vec<f64>) {
    // A size that nothing estimates counts as estimated from half a row.
    const LEAST: f64 = 0.5;
    let minimum = &fit.minimum;
    let along = minimum.spectrum.inverse_normal_matrix() * DVector::from_row_slice(gradient);
    let by_row = &minimum.jacobian * along;
    let mut parts = vec![0.0; model.columns.len()];
    for (place, row) in model.rows.iter().enumerate() {
        parts[row.column] += by_row[place].powi(2);
    }
    // Rows of priors stand behind those of the data.
    let whole = by_row.norm_squared();
    if whole > 0.0 {
        parts.iter_mut().for_each(|part| *part /= whole);
    }
    let freedom = degrees_of_freedom(model, &minimum.spectrum.leverage());
    (parts, freedom.into_iter().map(|freedom| f64::max(freedom, LEAST)).collect())
}
