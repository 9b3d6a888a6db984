//! What came out, and why it ended.

use nalgebra::DMatrix;
use thiserror::Error;

use super::Spectrum;

/// Why the iteration ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Termination {
    /// The residuals are orthogonal to the columns of J.
    Gradient,
    /// No step promises a decrease worth taking.
    Decrease,
    /// The full step is below the resolution asked for.
    Step,
    /// Evaluations are used up; not converged.
    Evaluations,
    /// Ever shorter steps do not lower F although J says they should: J may be wrong; not converged.
    Stalled,
    /// The problem fails all around the last point; not converged.
    ProblemFails,
}

impl Termination {
    /// Whether the point is a minimum to the tolerances.
    pub fn converged(self) -> bool {
        matches!(self, Termination::Gradient | Termination::Decrease | Termination::Step)
    }

    /// A code for programs.
    pub fn code(self) -> &'static str {
        match self {
            Termination::Gradient => "gradient",
            Termination::Decrease => "decrease",
            Termination::Step => "step",
            Termination::Evaluations => "evaluations",
            Termination::Stalled => "stalled",
            Termination::ProblemFails => "problem_fails",
        }
    }
}

/// The best point found.
#[derive(Debug, Clone)]
pub struct Minimum {
    /// Parameters.
    pub parameters: Vec<f64>,
    /// Residuals there, as the problem gives them.
    pub residuals: Vec<f64>,
    /// J there, as the problem gives it: rows by parameters.
    pub jacobian: DMatrix<f64>,
    /// F there.
    pub cost: f64,
    /// Which parameters lie on a bound.
    pub at_bound: Vec<bool>,
    /// Singular values and directions of J over the parameters off their bounds; the loss has no part in it.
    pub spectrum: Spectrum,
    /// Why it ended.
    pub termination: Termination,
    /// Steps taken.
    pub iterations: usize,
    /// Evaluations of the residuals, those with derivatives included.
    pub evaluations: usize,
    /// Evaluations of J.
    pub jacobians: usize,
    /// Steps refused because F did not fall.
    pub refused: usize,
    /// Steps refused because the problem failed or was not finite.
    pub failures: usize,
}

/// Why there is no point at all. `E` is the problem's own error.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LeastSquaresError<E> {
    /// Lengths, bounds or options do not fit.
    #[error("{what}[{index}] = {value}: expected {expected}")]
    Argument {
        /// Which argument.
        what: &'static str,
        /// Its place, from 0.
        index: usize,
        /// Its value.
        value: f64,
        /// What would have been accepted.
        expected: &'static str,
    },
    /// The problem fails at the start.
    #[error("the problem fails at the start")]
    Start(#[source] E),
    /// A residual or a derivative at the start is NaN or infinite, or F overflows.
    #[error("residual or derivative {index} at the start is not finite")]
    NotFinite {
        /// Row of the residual or, beyond the residuals, rows + place in the row-wise Jacobian.
        index: usize,
    },
}
