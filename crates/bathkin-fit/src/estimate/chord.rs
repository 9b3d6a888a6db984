//! A model with the slopes of its fit: for the many fits of a bootstrap, which end close to it.

use std::sync::Arc;

use bathkin_numerics::least_squares::Residuals;

use crate::error::DataError;
use crate::objective::evaluation_cache::Linearised;
use crate::objective::residuals::RecipeModel;
use bathkin_statistics::residual_model::ResidualModel;

/// For [`LeastSquaresOptions::resolution`](bathkin_numerics::least_squares::LeastSquaresOptions): by how much
/// of the sum of squares the end of a search by a chord may differ from its least value.
pub(crate) const CHORD: f64 = 1e-2;

/// The residuals of a model, with what is calculated moving by its slopes at one point.
///
/// A search by these ends where the residuals are orthogonal to the slopes of that point and not to its own.
/// The two differ by the curvature of the model over the way between, times the residuals: next to nothing
/// within a few standard errors, and a fifteenth of the work with a dozen numbers.
#[derive(Debug)]
pub(crate) struct Chord {
    model: RecipeModel,
    slopes: Arc<Linearised>,
}

impl Chord {
    /// Coarse values, with the slopes of a model at a point where it was linearised.
    pub fn about(model: &RecipeModel, at: &[f64]) -> Result<Self, DataError> {
        Ok(Chord { model: model.coarse(), slopes: model.linearised(at)? })
    }
}

impl Residuals for Chord {
    type Error = DataError;

    fn parameters(&self) -> usize {
        self.model.parameters()
    }

    fn rows(&self) -> usize {
        self.model.rows()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), DataError> {
        self.model.residuals(at, residuals)
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), DataError> {
        self.model.linearise_by(at, &self.slopes, residuals, jacobian)
    }
}

impl ResidualModel for Chord {
    fn names(&self) -> &[String] {
        self.model.names()
    }

    fn case_of(&self, row: usize) -> usize {
        self.model.case_of(row)
    }
}
