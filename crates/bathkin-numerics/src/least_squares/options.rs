//! Bounds and tolerances.

use super::Loss;

/// Lower and upper bound of every parameter; infinite where there is none.
#[derive(Debug, Clone, PartialEq)]
pub struct Bounds {
    /// Lower bounds.
    pub lower: Vec<f64>,
    /// Upper bounds; equal to the lower one holds the parameter there.
    pub upper: Vec<f64>,
}

impl Bounds {
    /// No bounds.
    pub fn none(parameters: usize) -> Self {
        Bounds { lower: vec![f64::NEG_INFINITY; parameters], upper: vec![f64::INFINITY; parameters] }
    }

    /// Whether all parameters lie within them.
    pub fn hold(&self, parameters: &[f64]) -> bool {
        let within = |((value, lower), upper): ((&f64, &f64), &f64)| lower <= value && value <= upper;
        parameters.iter().zip(&self.lower).zip(&self.upper).all(within)
    }

    /// Whether the parameter `index` at `value` lies on one of its bounds.
    pub fn touches(&self, index: usize, value: f64) -> bool {
        value <= self.lower[index] || value >= self.upper[index]
    }
}

/// How far to go, and how residuals weigh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastSquaresOptions {
    /// Largest cosine between the residuals and a column of J at the minimum.
    pub gradient_tolerance: f64,
    /// Smallest part of F worth another step. At a free minimum 1e-16 puts the parameters within about
    /// 1e-8 √(rows) of their standard errors.
    pub decrease_tolerance: f64,
    /// Part of F that is worth no step at all: where the next one promises no more, the search ends without it.
    /// Zero by default: the last step is always taken, and what it leaves is far below `decrease_tolerance`.
    pub negligible_decrease: f64,
    /// Relative error of F: rounding by default, about the tolerance of a simulation behind the residuals.
    /// Full steps that promise less are believed as long as each promises half of the one before, since F
    /// itself cannot tell.
    pub resolution: f64,
    /// Norm of the error of the residuals themselves, zero for exact ones. Where the residuals are hardly larger than
    /// that, F is not known to its resolution: ½‖r + e‖² lies up to ‖e‖ ‖r‖ + ½‖e‖² off.
    pub residual_error: f64,
    /// Smallest step, as part of the parameters, in the scaled norm.
    pub step_tolerance: f64,
    /// Most evaluations of the residuals.
    pub max_evaluations: usize,
    /// The loss.
    pub loss: Loss,
    /// Its scale c, in units of the residuals; without effect on the linear loss.
    pub loss_scale: f64,
    /// Singular values of the J with columns of norm one that are smaller than this part of the largest
    /// count as zero in the [`Spectrum`](super::Spectrum).
    pub rank_tolerance: f64,
    /// Directions whose singular value in the scaled J is below this part of the largest get no step: about
    /// the relative error of J, zero for a J that is exact to rounding. Along a direction that nothing
    /// depends on an inexact J promises a fall that is not there, and the search would follow it away.
    pub unseen: f64,
    /// Norm that a column of J counts as having at least, zero for a J that is exact to rounding. Slopes with
    /// an error of norm e tell a column of norm n apart from others only down to e/n, so this is e over the
    /// two tolerances above.
    pub least_norm: f64,
}

impl Default for LeastSquaresOptions {
    fn default() -> Self {
        LeastSquaresOptions {
            gradient_tolerance: 1e-10,
            decrease_tolerance: 1e-16,
            negligible_decrease: 0.0,
            resolution: 1e-12,
            residual_error: 0.0,
            step_tolerance: 1e-12,
            max_evaluations: 5000,
            loss: Loss::Linear,
            loss_scale: 1.0,
            rank_tolerance: 1e-10,
            unseen: 0.0,
            least_norm: 0.0,
        }
    }
}

impl LeastSquaresOptions {
    /// Change of F that errors hide.
    pub(super) fn noise_of(&self, cost: f64) -> f64 {
        self.resolution * cost + self.residual_error * ((2.0 * cost).sqrt() + 0.5 * self.residual_error)
    }
}
