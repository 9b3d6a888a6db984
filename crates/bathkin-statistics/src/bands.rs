//! How well a calculated value is known, and where an observation of it will lie: two different bands.

use serde::Serialize;

use crate::error::FitError;
use crate::fit::Fit;
use crate::parameter::Determination;

/// A calculated value with both bands at the level of the fit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// Calculated value.
    pub value: f64,
    /// Where the true mean lies.
    pub confidence: [f64; 2],
    /// Where one further observation lies.
    pub prediction: [f64; 2],
}

/// value ± q √(gᵀCg) and value ± q √(gᵀCg + s² sigma²), by the delta method.
///
/// `gradient` is g, the derivatives of the value by the parameters; `sigma` the standard deviation of an
/// observation there as the residuals were divided by it, so that s scales it where s is estimated.
/// Pointwise. Parameters on a bound count as known.
///
/// # Errors
/// [`FitError::Depends`], with names, when the value depends on something the data do not determine.
pub fn band(fit: &Fit, value: f64, gradient: &[f64], sigma: f64) -> Result<Band, FitError> {
    let parameters = fit.parameters.len();
    if gradient.len() != parameters {
        return Err(FitError::Length {
            first: "gradient",
            first_rows: gradient.len(),
            second: "parameters",
            second_rows: parameters,
        });
    }
    for (name, number) in [("value", value), ("sigma", sigma)] {
        if !number.is_finite() {
            return Err(FitError::Argument { name, value: number, expected: "a finite number" });
        }
    }
    if let Some(place) = gradient.iter().position(|slope| !slope.is_finite()) {
        return Err(FitError::NotFinite { what: "derivative", place });
    }
    let spectrum = &fit.minimum.spectrum;
    // Along an undetermined combination, beyond the rounding of the decomposition.
    if spectrum.undetermined_part(gradient) > 1e-6 {
        return Err(undetermined(fit, Determination::RankDeficient));
    }
    if spectrum.no_influence.iter().any(|i| gradient[*i] != 0.0) {
        return Err(undetermined(fit, Determination::NoInfluence));
    }
    let (Some(variance), Some(factor), Some(quantile)) = (fit.variance, fit.factor(), fit.quantile()) else {
        return Err(FitError::NoScatter { method: "a band" });
    };
    let around = |variance: f64| {
        let half = quantile * variance.max(0.0).sqrt();
        [value - half, value + half]
    };
    // Not from C, which leaves out what only combinations determine.
    let mean = factor * spectrum.spread(gradient);
    Ok(Band { value, confidence: around(mean), prediction: around(mean + variance * sigma * sigma) })
}

fn undetermined(fit: &Fit, determination: Determination) -> FitError {
    let of = fit.parameters.iter().filter(|parameter| parameter.determination == determination);
    FitError::Depends { names: of.map(|parameter| parameter.name.clone()).collect(), determination }
}
