//! Measured values, and the columns they stand in.

use bathkin::tank::quantity::UsualError;

use crate::data::error_model::{ErrorModel, Observation};

/// A column of measured values: its name and how its errors are distributed.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Name, with its unit.
    pub name: String,
    /// Its errors.
    pub errors: ErrorModel,
    /// What its analysis is usually good for.
    pub usual: UsualError,
    /// Their size s: one where the sigmas are absolute, else estimated from the residuals.
    pub size: f64,
}

/// A measured value: where it was read, and what computes it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Row {
    /// Which case, and which of its values.
    pub case: usize,
    pub value: usize,
    pub column: usize,
    pub observed: Observation,
    /// Which sheet, its row there, and the number its author gives it.
    pub sheet: usize,
    pub place: usize,
    pub row: usize,
    /// Readings of one sample, or the one of a coupon.
    pub sample: usize,
}
