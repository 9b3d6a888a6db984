//! A model whose slopes come with its values, for a search that takes nearly every step.

use bathkin_numerics::least_squares::Residuals;

use crate::error::DataError;
use crate::objective::residuals::RecipeModel;
use bathkin_statistics::residual_model::ResidualModel;

/// The residuals of a model, computed with their slopes.
///
/// A step that is taken needs the slopes where it ends. They come with its values, so carrying the baths there
/// for the values alone would be work done twice.
#[derive(Debug)]
pub(crate) struct FusedJacobian<'a>(pub &'a RecipeModel);

impl Residuals for FusedJacobian<'_> {
    type Error = DataError;

    fn parameters(&self) -> usize {
        self.0.parameters()
    }

    fn rows(&self) -> usize {
        self.0.rows()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), DataError> {
        self.0.residuals_with_slopes(at, residuals)
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), DataError> {
        self.0.linearise(at, residuals, jacobian)
    }
}

impl ResidualModel for FusedJacobian<'_> {
    fn names(&self) -> &[String] {
        self.0.names()
    }

    fn case_of(&self, row: usize) -> usize {
        self.0.case_of(row)
    }
}
