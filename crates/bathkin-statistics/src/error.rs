//! What is wrong with data, and where.

use bathkin_numerics::short;
use thiserror::Error;

/// Why data cannot be fitted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FitError {
    /// Two columns differ in length.
    #[error("{first} has {first_rows} rows and {second} has {second_rows}")]
    Length {
        /// Name of the first column.
        first: &'static str,
        /// Its rows.
        first_rows: usize,
        /// Name of the second column.
        second: &'static str,
        /// Its rows.
        second_rows: usize,
    },
    /// A value cannot be used.
    #[error("row {row}, {column} = {}: expected {expected}", short(*.value))]
    Value {
        /// Row, counted from 1.
        row: usize,
        /// Column.
        column: &'static str,
        /// Value.
        value: f64,
        /// What would have been accepted.
        expected: &'static str,
    },
    /// The data do not determine the parameters.
    #[error("{0}")]
    Undetermined(String),
    /// The model cannot be evaluated at the start, or the start does not fit it.
    #[error("the fit cannot start: {0}")]
    Start(String),
    /// It was asked to stop.
    #[error("stopped before it ended")]
    Stopped,
    /// The search ended without a minimum.
    #[error("the fit did not converge ({reason}) in {evaluations} evaluations; it stopped at {place}")]
    NotConverged {
        /// Code of [`Termination`](bathkin_numerics::least_squares::Termination).
        reason: &'static str,
        /// Evaluations of the model.
        evaluations: usize,
        /// The best parameters seen.
        parameters: Vec<f64>,
        /// The same in words.
        place: String,
    },
}
