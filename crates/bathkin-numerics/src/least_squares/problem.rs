//! What is to be made small.

/// Residuals of a model and their exact derivatives.
///
/// A residual is (calculated - observed)/sigma: a number without unit. `Error` says why a point cannot
/// be evaluated, for instance because a simulation does not reach its end there.
pub trait Residuals {
    /// Why a point cannot be evaluated.
    type Error;

    /// Number of parameters.
    fn parameters(&self) -> usize;

    /// Number of residuals.
    fn rows(&self) -> usize;

    /// The residuals at a point.
    ///
    /// # Errors
    /// The point cannot be evaluated; the step that led there is refused.
    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Self::Error>;

    /// The residuals and their derivatives: `jacobian[row * parameters + column]`.
    ///
    /// # Errors
    /// As [`Residuals::residuals`].
    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Self::Error>;
}

impl<P: Residuals + ?Sized> Residuals for &P {
    type Error = P::Error;

    fn parameters(&self) -> usize {
        (**self).parameters()
    }

    fn rows(&self) -> usize {
        (**self).rows()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Self::Error> {
        (**self).residuals(at, residuals)
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Self::Error> {
        (**self).linearise(at, residuals, jacobian)
    }
}
