//! What a model is made of: its free parameters, columns and measured values.

use crate::data::cases::Case;
use crate::data::rows::Column;
use crate::error::{DataError, Part, SpecificationProblem};
use crate::objective::free::FreeParameter;
use crate::objective::residuals::RecipeModel;

impl RecipeModel {
    /// Where fits start, on the scales of the parameters.
    pub fn start(&self) -> Vec<f64> {
        self.free.iter().map(|number| number.scale.inside(number.start)).collect()
    }

    /// The free numbers.
    pub fn free(&self) -> &[FreeParameter] {
        &self.free
    }

    /// The columns of measured values.
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// Column, row as its author counts, and value of every measured value.
    pub fn observed(&self) -> impl Iterator<Item = (&str, usize, f64)> {
        self.rows.iter().map(|row| (self.columns[row.column].name.as_str(), row.row, row.observed.value))
    }

    /// Whether each measured value is only known to be below the limit that stands for it.
    pub fn below(&self) -> impl Iterator<Item = bool> {
        self.rows.iter().map(|row| row.observed.below)
    }

    /// Refuses a path that is not free.
    pub(crate) fn not_free(&self, what: Part, path: &str) -> DataError {
        let free = self.free.iter().map(|number| number.name.clone()).collect();
        SpecificationProblem::NotFree { what, path: path.to_owned(), free }.into()
    }

    /// Places of the free numbers that a path means: its own, or all of those it is grouped into.
    pub(crate) fn places_of(&self, path: &str) -> Vec<usize> {
        let meant = |number: &FreeParameter| {
            number.name == path || number.name.split_once('@').is_some_and(|(name, _)| name == path)
        };
        (0..self.free.len()).filter(|place| meant(&self.free[*place])).collect()
    }

    /// Whether any case is simulated.
    pub fn simulates(&self) -> bool {
        self.cases.iter().any(Case::simulates)
    }

    /// Whether every value of a column has its own sigma, so that one more has none.
    pub(crate) fn has_own_sigmas(&self, column: usize) -> bool {
        self.rows.iter().filter(|row| row.column == column).all(|row| row.observed.sigma.is_some())
    }

    /// True when every value has its own sigma.
    pub(crate) fn has_sigma(&self) -> bool {
        self.rows.iter().all(|row| row.observed.sigma.is_some())
    }
}
