//! Whether the model misses more than replicates differ among themselves.

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::FitError;
use crate::fit::Fit;
use crate::quantiles::f_tail;

/// The test.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct LackOfFit {
    /// Sum of squares of group means about the model.
    pub lack_sum_of_squares: f64,
    /// Groups less determined parameters.
    pub lack_degrees_of_freedom: usize,
    /// Sum of squares of replicates about their group means.
    pub pure_error_sum_of_squares: f64,
    /// Rows less groups.
    pub pure_error_degrees_of_freedom: usize,
    /// Ratio of the two mean squares.
    pub f_ratio: f64,
    /// Probability of a larger ratio were the model right.
    pub p_value: f64,
}

/// F = [(S - S_pe)/(m - p)] / [S_pe/(n - m)] with n rows in m groups, p parameters.
///
/// `group` has a label for each row; rows with the same label are replicates, made under the same
/// conditions and with the same sigma, so that the differences of their residuals are those of the
/// observations. Source: N. R. Draper and H. Smith, *Applied Regression Analysis*, 3rd ed., Wiley 1998. For the linear loss; exact
/// for linear models, approximate otherwise.
///
/// # Errors
/// [`FitError`]: a label for each row is missing; no replicates, or replicates that agree exactly; no more
/// groups than parameters.
pub fn lack_of_fit(fit: &Fit, group: &[usize]) -> Result<LackOfFit, FitError> {
    // Of residuals in sigmas: replicates closer than this agree exactly.
    const EXACT: f64 = 1e-12;
    let residuals = &fit.minimum.residuals;
    let rows = residuals.len();
    if group.len() != rows {
        return Err(FitError::Length {
            first: "group",
            first_rows: group.len(),
            second: "residuals",
            second_rows: rows,
        });
    }
    let mut by_group = std::collections::BTreeMap::<usize, Vec<f64>>::new();
    for (label, residual) in group.iter().zip(residuals) {
        by_group.entry(*label).or_default().push(*residual);
    }
    let groups = by_group.len();
    let about_mean = |residuals: &Vec<f64>| {
        let mean = residuals.iter().sum::<f64>() / residuals.len() as f64;
        // Equal observations have equal residuals but for rounding.
        let apart = |residual: &f64| (residual - mean).abs() > EXACT * (1.0 + residual.abs().max(mean.abs()));
        residuals.iter().filter(|one| apart(one)).map(|residual| (residual - mean).powi(2)).sum::<f64>()
    };
    let pure: f64 = by_group.values().map(about_mean).sum();
    let total: f64 = residuals.iter().map(|residual| residual * residual).sum();
    let pure_freedom = rows - groups;
    if pure_freedom == 0 {
        return Err(FitError::NoReplicates { rows });
    }
    let parameters = fit.minimum.spectrum.rank;
    let Some(lack_freedom) = groups.checked_sub(parameters).filter(|freedom| *freedom > 0) else {
        return Err(FitError::FewGroups { groups, parameters });
    };
    let lack = (total - pure).max(0.0);
    let f_ratio = lack / lack_freedom as f64 / (pure / pure_freedom as f64);
    let p_value = f_tail(f_ratio, lack_freedom, pure_freedom).filter(|p| p.is_finite());
    let Some(p_value) = p_value.filter(|_| f_ratio.is_finite()) else {
        return Err(FitError::ReplicatesAgree);
    };
    Ok(LackOfFit {
        lack_sum_of_squares: lack,
        lack_degrees_of_freedom: lack_freedom,
        pure_error_sum_of_squares: pure,
        pure_error_degrees_of_freedom: pure_freedom,
        f_ratio,
        p_value,
    })
}
