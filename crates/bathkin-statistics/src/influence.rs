//! Influential observations.

use serde::Serialize;

use crate::fit::Fit;

/// One row's influence.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Influence {
    /// Diagonal of the hat matrix, 0-1; their sum is the number of parameters.
    pub leverage: f64,
    /// Residual over its own standard deviation, r/(s √(1-h)); `None` at leverage one or without s.
    pub standardised_residual: Option<f64>,
    /// Cook's distance, r²h/(p s² (1-h)²): how far all fitted values move without the row, in units of the
    /// confidence region.
    pub cooks_distance: Option<f64>,
}

/// Leverage, standardised residual and Cook's distance of every row, from J at the minimum.
///
/// Source: R. D. Cook, *Detection of influential observation in linear regression*, Technometrics 19
/// (1977) 15-18. Exact for linear models.
pub fn influence(fit: &Fit) -> Vec<Influence> {
    // Beyond this a row is met exactly whatever its value.
    const ALONE: f64 = 1.0 - 1e-10;
    let parameters = fit.minimum.spectrum.rank as f64;
    let variance = fit.variance.filter(|variance| *variance > 0.0);
    let leverage = fit.minimum.spectrum.leverage();
    let of = |(h, r): (f64, &f64)| {
        let variance = variance.filter(|_| h < ALONE);
        Influence {
            leverage: h,
            standardised_residual: variance.map(|v| r / (v * (1.0 - h)).sqrt()),
            cooks_distance: variance
                .filter(|_| parameters > 0.0)
                .map(|v| cooks_distance(*r, h, parameters, v)),
        }
    };
    leverage.into_iter().zip(&fit.minimum.residuals).map(of).collect()
}

/// r²h/(p s² (1-h)²).
pub fn cooks_distance(residual: f64, leverage: f64, parameters: f64, variance: f64) -> f64 {
    residual * residual * leverage / (parameters * variance * (1.0 - leverage).powi(2))
}

/// Cook's distance from which a row is named. One is called much; with a handful of rows the ends of a line reach
/// that and are not wrong.
pub const INFLUENTIAL: f64 = 3.0;
