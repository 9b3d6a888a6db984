//! What the residuals say of the model, on its linear approximation about the minimum.

use bathkin_statistics::Scale;
use bathkin_statistics::linear_model::LinearModel;

use crate::data::rows::Row;
use crate::result::solution::Solution;

impl Solution {
    /// Whether residuals are more than the rounding of computed values.
    pub(crate) fn has_scatter(&self) -> bool {
        // In sigmas of the largest column, or of logarithms.
        const NONE: f64 = 1e-7;
        let largest = self.model.columns.iter().map(|column| column.size).fold(0.0, f64::max);
        self.scatter().is_some_and(|size| size * largest >= NONE)
    }

    /// The linear approximation about the minimum; values below a limit and priors are not tested.
    pub(crate) fn linear_model(&self) -> LinearModel {
        let known = self.fit.options.scale == Scale::Known;
        let of_row = |row: &Row| {
            // Absolute sigmas are one size for all.
            (!row.observed.below).then_some(if known { 0 } else { row.column })
        };
        let mut groups: Vec<Option<usize>> = self.model.rows.iter().map(of_row).collect();
        if let Some(mixed) = &self.mixed {
            return LinearModel::with_effects(mixed, groups);
        }
        groups.resize(self.fit.minimum.residuals.len(), None);
        LinearModel::about(&self.fit, groups)
    }

    /// Which rows have the error variance of a column.
    pub(crate) fn group(&self, column: usize) -> usize {
        if self.fit.options.scale == Scale::Known { 0 } else { column }
    }

    /// Derivative of the residual of a row by the logarithm of its calculated value.
    pub(crate) fn by_logarithm(&self, row: usize) -> f64 {
        let calculated = self.calculated[row];
        self.model.slope(&self.model.rows[row], calculated) * calculated
    }
}
