//! Information criteria: which of several models of the same rows to prefer.

use schemars::JsonSchema;
use serde::Serialize;

use crate::fit::Fit;
use crate::options::Scale;

/// Criteria of a fit; the smaller one is preferred. Only differences between fits of the same rows with
/// the same sigma and scale mean something: the constant Σ ln(2π sigma²) is left out.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Criteria {
    /// Akaike's, corrected for few rows; `None` when there are too few for it.
    pub aicc: Option<f64>,
    /// Schwarz's; `None` for a perfect fit with estimated scale.
    pub bic: Option<f64>,
    /// Parameters counted: determined combinations, and one for an estimated scale.
    pub counted: usize,
}

/// AICc = D + 2k + 2k(k+1)/(n-k-1), BIC = D + k ln n, with D = -2 ln L = χ² (sigma known) or n ln(χ²/n).
///
/// Source: K. P. Burnham and D. R. Anderson, *Model Selection and Multimodel Inference*, 2nd ed.,
/// Springer 2002. Made for independent normal errors, so for the linear loss.
pub fn criteria(fit: &Fit) -> Criteria {
    let rows = fit.minimum.residuals.len() as f64;
    let estimated = fit.options.scale == Scale::Estimated;
    let counted = fit.minimum.spectrum.rank + usize::from(estimated);
    let k = counted as f64;
    let chi = fit.sum_of_squares();
    let deviance = if estimated { rows * (chi / rows).ln() } else { chi };
    let deviance = deviance.is_finite().then_some(deviance);
    Criteria {
        aicc: deviance.and_then(|deviance| corrected(deviance, counted, fit.minimum.residuals.len())),
        bic: deviance.map(|d| d + k * rows.ln()),
        counted,
    }
}

/// AICc of a deviance D; `None` where n - k - 1 is not above zero.
pub(crate) fn corrected(deviance: f64, counted: usize, rows: usize) -> Option<f64> {
    let (k, n) = (counted as f64, rows as f64);
    let left = n - k - 1.0;
    (left > 0.0).then(|| deviance + 2.0 * k + 2.0 * k * (k + 1.0) / left)
}
