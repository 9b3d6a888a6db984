//! Profile-likelihood intervals: how far one parameter can go while all others make the best of it.
//!
//! S(θ) is the least sum of squares with the parameter held at θ. The interval ends where
//!
//! (S(θ) - S_min)/s² = q²,
//!
//! with q² the quantile of F(1, ν) when s is estimated, of χ²(1) when it is known. It needs no linear
//! model and may be lopsided or open. For a linear model it is the interval from the standard error. Under a
//! robust loss s² is m times the factor of (JᵀJ)⁻¹ (`robust.rs`).
//! Source: D. M. Bates and D. G. Watts, *Nonlinear Regression Analysis and Its Applications*, Wiley
//! 1988, chapter 6.

use bathkin_numerics::least_squares::Bounds;
use bathkin_numerics::{RootError, bracketed_root};
use serde::Serialize;

use crate::error::FitError;
use crate::fit::{Fit, minimise};
use crate::options::FitOptions;
use crate::residual_model::ResidualModel;

/// One end of a profile interval.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "end")]
pub enum ProfileEnd {
    /// The threshold is reached here.
    Found {
        /// Value of the parameter.
        at: f64,
    },
    /// The bound comes first.
    Bound {
        /// The bound.
        at: f64,
    },
    /// The threshold is not reached: the data set no limit on this side.
    Open {
        /// The farthest value tried.
        tried: f64,
    },
    /// A fit with the parameter held did not succeed.
    Failed {
        /// Value of the parameter.
        at: f64,
        /// Why.
        why: String,
    },
    /// A fit with the parameter held is better than the fit: the fit is a local minimum, start again here.
    BetterMinimum {
        /// The parameters.
        parameters: Vec<f64>,
        /// Their sum of squares.
        sum_of_squares: f64,
    },
}

impl ProfileEnd {
    /// The end, where there is one.
    pub fn value(&self) -> Option<f64> {
        match self {
            ProfileEnd::Found { at } | ProfileEnd::Bound { at } => Some(*at),
            _ => None,
        }
    }
}

/// A profile interval.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProfileInterval {
    /// Name of the parameter.
    pub name: String,
    /// Lower end.
    pub lower: ProfileEnd,
    /// Upper end.
    pub upper: ProfileEnd,
    /// Fits made.
    pub fits: usize,
}

/// The interval of parameter `index` at the level of the fit.
///
/// # Errors
/// [`FitError`]: no such parameter, one held by equal bounds, or no degree of freedom.
pub fn profile_interval<M: ResidualModel>(
    model: &M,
    fit: &Fit,
    index: usize,
) -> Result<ProfileInterval, FitError> {
    let count = fit.parameters.len();
    let parameter = fit.parameters.get(index).ok_or(FitError::NoParameter { place: index, count })?;
    // By what S rises at one standard error.
    let rise = fit.factor().map(|factor| factor * fit.robust.slope);
    let (Some(variance), Some(quantile)) = (rise.filter(|v| *v > 0.0), fit.quantile()) else {
        return Err(FitError::NoScatter { method: "a profile" });
    };
    let bounds = fit.options.bounds.clone().unwrap_or_else(|| Bounds::none(fit.parameters.len()));
    if bounds.lower[index] >= bounds.upper[index] {
        return Err(FitError::HeldByBounds { name: parameter.name.clone() });
    }
    let mut profile = Profile { model, fit, index, variance, quantile, bounds, fits: 0 };
    let lower = profile.end(-1.0);
    let upper = profile.end(1.0);
    Ok(ProfileInterval { name: parameter.name.clone(), lower, upper, fits: profile.fits })
}

struct Profile<'a, M> {
    model: &'a M,
    fit: &'a Fit,
    index: usize,
    variance: f64,
    quantile: f64,
    bounds: Bounds,
    fits: usize,
}

impl<M: ResidualModel> Profile<'_, M> {
    fn end(&mut self, side: f64) -> ProfileEnd {
        // The threshold, were the model linear, then ever farther: a million standard errors is open.
        const WIDENINGS: usize = 20;
        let middle = self.fit.values()[self.index];
        let error = self.fit.parameters[self.index].standard_error.filter(|error| *error > 0.0);
        let guess = self.quantile * error.unwrap_or_else(|| self.alone());
        let bound = if side < 0.0 { self.bounds.lower[self.index] } else { self.bounds.upper[self.index] };
        let mut near = middle;
        let mut start = self.fit.values().to_vec();
        for widening in 0..WIDENINGS {
            let far = middle + side * guess * 2_f64.powi(i32::try_from(widening).unwrap_or(i32::MAX));
            let beyond = (far - bound) * side >= 0.0;
            let far = if beyond { bound } else { far };
            let over = match self.excess(far, &mut start) {
                Ok(over) => over,
                // What lies beyond cannot be computed, and up to here nothing limits it.
                Err(ProfileEnd::Failed { .. }) if near != middle => return ProfileEnd::Open { tried: near },
                Err(end) => return end,
            };
            if over >= 0.0 {
                return self.between(near, far, &start);
            }
            if beyond {
                return ProfileEnd::Bound { at: bound };
            }
            near = far;
        }
        ProfileEnd::Open { tried: near }
    }

    /// How far the parameter could go with all others held, for one that has no standard error.
    fn alone(&self) -> f64 {
        let alone = self.variance.sqrt() / self.fit.minimum.jacobian.column(self.index).norm();
        // Without any influence it is open, or limited far from here: a factor of e, or one unit, to begin with.
        if alone.is_finite() { alone } else { 1.0 }
    }

    fn between(&mut self, near: f64, far: f64, start: &[f64]) -> ProfileEnd {
        let mut start = start.to_vec();
        let tolerance = 1e-10 * (far - near).abs();
        match bracketed_root(|at| self.excess(at, &mut start), near, far, tolerance, 100) {
            Ok(at) => ProfileEnd::Found { at },
            Err(RootError::Function(end)) => end,
            Err(other) => ProfileEnd::Failed { at: far, why: other.to_string() },
        }
    }

    /// √((S(θ) - S_min)/s²) - q: nearly linear in θ. `start` follows along.
    fn excess(&mut self, at: f64, start: &mut [f64]) -> Result<f64, ProfileEnd> {
        let middle = self.fit.values()[self.index];
        if at == middle {
            return Ok(-self.quantile);
        }
        let mut held = self.bounds.clone();
        held.lower[self.index] = at;
        held.upper[self.index] = at;
        // Others begin where the last fit left them, shifted as the covariance predicts.
        let before = start[self.index];
        let c = &self.fit.covariance;
        let lean = c[(self.index, self.index)];
        for (i, value) in start.iter_mut().enumerate() {
            if lean > 0.0 {
                *value += c[(i, self.index)] / lean * (at - before);
            }
            *value = value.clamp(held.lower[i], held.upper[i]);
        }
        let options = FitOptions { bounds: Some(held), ..self.fit.options.clone() };
        self.fits += 1;
        let found = minimise(self.model, start, &options).or_else(|_| {
            // The extrapolation may lead where the model fails.
            let mut from_fit = self.fit.values().to_vec();
            from_fit[self.index] = at;
            self.fits += 1;
            minimise(self.model, &from_fit, &options)
        });
        let found = found.map_err(|error| ProfileEnd::Failed { at, why: error.to_string() })?;
        let least = self.fit.sum_of_squares();
        let rise = 2.0 * found.cost - least;
        // Lower by more than convergence and rounding explain.
        if rise < -1e-6 * self.variance.min(least) {
            let sum_of_squares = 2.0 * found.cost;
            return Err(ProfileEnd::BetterMinimum { parameters: found.parameters, sum_of_squares });
        }
        start.copy_from_slice(&found.parameters);
        Ok((rise.max(0.0) / self.variance).sqrt() - self.quantile)
    }
}
