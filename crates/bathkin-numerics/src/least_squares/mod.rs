//! Nonlinear least squares within bounds, with exact derivatives from the caller.
//!
//! Minimises F(x) = ½ Σ c² ρ((f_i(x)/c)²) over lower ≤ x ≤ upper, where f are residuals, ρ a [`Loss`]
//! and c its scale; with [`Loss::Linear`] F is half the sum of squares.
//!
//! | symbol | meaning | unit |
//! | --- | --- | --- |
//! | f, J | residuals and their derivatives, by rows | 1 (each residual divided by its sigma) |
//! | x, p | parameters, step | the caller's |
//! | D | largest norm each column of J has had | 1/x |
//! | Δ | trust radius: ‖D p‖ ≤ Δ | 1 |
//!
//! **Method.** The step minimises ‖J p + f‖ over ‖D p‖ ≤ Δ (Levenberg 1944, Marquardt 1963) with the
//! scaling of J. J. Moré, *The Levenberg-Marquardt algorithm: implementation and theory*, in Numerical
//! Analysis, Lecture Notes in Mathematics 630, Springer 1978, 105-116. The damping that meets Δ comes
//! from a singular value decomposition of J D⁻¹ and Hebden's iteration on 1/‖·‖ given there. D makes
//! the answer independent of the units of the parameters, and Δ starts at ‖D x‖.
//!
//! **Bounds** are an active set within each step. A parameter on a bound that F pushes outwards is held;
//! the step of the others is followed to the first bound it meets, that parameter stays there, and the
//! rest is solved again. Each leg lowers the same convex model, so the whole step does, and parameters
//! end exactly on their bounds or away from them.
//!
//! **Large residuals** make full steps miss the minimum by the same part of themselves each time. Once they shrink
//! they are corrected by what the ones before have shown of that (`secant.rs`).
//!
//! **Failure is an answer.** A point where the problem fails, or returns a number that is not finite, is
//! a refused step and the radius shrinks. [`Termination::converged`] tells an answer from a stop, and no
//! result holds a NaN.
//!
//! Local only: start from several points where F may have several minima.

mod linear_fit;
mod loss;
mod options;
mod outcome;
mod problem;
mod secant;
mod solve;
mod spectrum;
mod step;
mod trust;

#[cfg(test)]
mod tests;

pub use linear_fit::{LinearFit, linear_fit};
pub use loss::Loss;
pub use options::{Bounds, LeastSquaresOptions};
pub use outcome::{LeastSquaresError, Minimum, Termination};
pub use problem::Residuals;
pub use solve::least_squares;
pub use spectrum::{Direction, Spectrum};
