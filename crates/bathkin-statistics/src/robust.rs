//! Standard errors under a robust loss.
//!
//! With ψ = f ρ' of a residual f, its derivative ψ', n rows and p determined combinations,
//!
//! C = K² a/m² (JᵀJ)⁻¹, a = Σ ψ²/(n - p), m = Σ ψ'/n, K = 1 + (p/n) Σ (ψ' - m)²/(n m²);
//!
//! a = 1 where the sigmas are absolute. Without a residual beyond the scale of the loss it is the C of least squares.
//! Source: P. J. Huber, *Robust Statistics*, Wiley 1981, section 7.6 (the first of its three corrections). Assumes
//! errors alike on both sides, and outliers that do not depend on the settings.
//!
//! The size of the errors themselves is estimated from the median, which outliers do not shift:
//! s = 1.4826 med|f| √(n/(n - p)); P. J. Rousseeuw and A. M. Leroy,
//! *Robust Regression and Outlier Detection*, Wiley 1987, chapter 5.

use bathkin_numerics::least_squares::Minimum;

use crate::options::{FitOptions, Scale};
use crate::quantiles::of_ordered;

/// What a robust loss makes of s².
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RobustFactors {
    /// C is (JᵀJ)⁻¹ times so many s².
    pub on_variance: f64,
    /// m: the loss is as steep as so many sums of squares.
    pub slope: f64,
}

impl Default for RobustFactors {
    fn default() -> Self {
        RobustFactors { on_variance: 1.0, slope: 1.0 }
    }
}

/// 1/Φ⁻¹(3/4): half of all normal errors are smaller than their standard deviation over this.
pub const OF_NORMAL: f64 = 1.482_602_218_505_602;

/// s² and its factors at a minimum; no s² without a degree of freedom.
pub(crate) fn robust(
    minimum: &Minimum,
    options: &FitOptions,
    freedom: usize,
) -> (Option<f64>, RobustFactors) {
    let (loss, scale) = (options.solver.loss, options.solver.loss_scale);
    let rows = minimum.residuals.len() as f64;
    let psi: Vec<(f64, f64)> = minimum.residuals.iter().map(|f| loss.influence(scale, *f)).collect();
    // Of a loss that bends over all slopes may be negative: then next to nothing is known.
    let slope = (psi.iter().map(|(_, slope)| slope).sum::<f64>() / rows).max(1.0 / rows);
    let spread = psi.iter().map(|(_, one)| (one - slope).powi(2)).sum::<f64>() / rows;
    let correction = 1.0 + minimum.spectrum.rank as f64 / rows * spread / (slope * slope);
    let factor = |a: f64| correction * correction * a / (slope * slope);
    if options.scale == Scale::Known {
        return (Some(1.0), RobustFactors { on_variance: factor(1.0), slope });
    }
    if freedom == 0 {
        return (None, RobustFactors { on_variance: factor(1.0), slope });
    }
    let a = psi.iter().map(|(psi, _)| psi * psi).sum::<f64>() / freedom as f64;
    let mut sizes: Vec<f64> = minimum.residuals.iter().map(|f| f.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let by_median = (OF_NORMAL * of_ordered(&sizes, 0.5)).powi(2) * rows / freedom as f64;
    // More than half of the rows may be met exactly.
    let variance = if by_median > 0.0 { by_median } else { a };
    let on_variance = if variance > 0.0 { factor(a) / variance } else { 1.0 };
    (Some(variance), RobustFactors { on_variance, slope })
}
