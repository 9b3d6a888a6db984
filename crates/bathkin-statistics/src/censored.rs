//! Observations below a detection limit: all they say is that the value is below it.
//!
//! With a calculated value y, a limit L and the standard deviation σ an observation would have had, the
//! probability of finding less than L is Φ(z), z = (L - y)/σ, and its part in -2 ln(likelihood) is
//! -2 ln Φ(z). As a residual r in a sum of squares that is
//!
//! r = √(-2 ln Φ(z)), dr/dz = -φ(z)/Φ(z)/r,
//!
//! 0 where y is far below the limit, and like |z| where it is far above. Source: J. Tobin, *Estimation of
//! relationships for limited dependent variables*, Econometrica 26 (1958) 24-36. σ has to be known: with
//! [`Scale::Estimated`](crate::options::Scale) s would not enter as it should. A row counts as one row.

use libm::erfc;
use serde::Serialize;
use std::f64::consts::{PI, SQRT_2};

/// A residual with its derivative by the calculated value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CensoredResidual {
    /// r, never below zero.
    pub residual: f64,
    /// dr/dy, in 1/(unit of the value).
    pub by_calculated: f64,
}

/// The residual of an observation below `limit` where `calculated` is calculated; `sigma` > 0.
///
/// An observation above an upper limit is one below a lower limit with limit and value negated (and the
/// derivative too).
///
/// ```
/// use bathkin_statistics::censored::below_limit;
///
/// // Calculated at the limit: half the observations would lie below, r = √(2 ln 2).
/// let even = below_limit(0.05, 0.05, 0.01);
/// assert!((even.residual - (2.0 * 2.0_f64.ln()).sqrt()).abs() < 1e-15);
/// // Calculated far above: as if the limit had been observed, but for a logarithm.
/// let above = below_limit(0.05, 0.35, 0.01);
/// assert!((above.residual - 30.0).abs() < 0.2 && (above.by_calculated - 100.0).abs() < 1.0);
/// ```
pub fn below_limit(limit: f64, calculated: f64, sigma: f64) -> CensoredResidual {
    let (residual, slope) = residual_of((limit - calculated) / sigma);
    CensoredResidual { residual, by_calculated: -slope / sigma }
}

/// (r, dr/dz).
fn residual_of(z: f64) -> (f64, f64) {
    // Below it Φ is φ over a continued fraction that converges fast; above, erfc is exact to rounding.
    const FAR: f64 = -5.0;
    if z < FAR {
        let fraction = tail_fraction(-z);
        let r = (z * z + (2.0 * PI).ln() + 2.0 * fraction.ln()).sqrt();
        return (r, -fraction / r);
    }
    let upper = 0.5 * erfc(z / SQRT_2);
    let ln_phi = if z > 0.0 { (-upper).ln_1p() } else { (0.5 * erfc(-z / SQRT_2)).ln() };
    let r = (-2.0 * ln_phi).sqrt();
    if r == 0.0 {
        // Beyond 38 the tail is below the smallest number.
        return (0.0, 0.0);
    }
    let density = (-0.5 * z * z).exp() / (2.0 * PI).sqrt();
    (r, -density / ln_phi.exp() / r)
}

/// φ(x)/(1 - Φ(x)) = x + 1/(x + 2/(x + 3/(x + ...))), Laplace's continued fraction for the tail of the normal
/// distribution (Abramowitz and Stegun, *Handbook of Mathematical Functions*, 26.2.14), for x > 5.
fn tail_fraction(x: f64) -> f64 {
    (1..=60).rev().fold(x, |fraction, k| x + f64::from(k) / fraction)
}
