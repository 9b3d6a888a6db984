//! Why data cannot be fitted.

use bathkin_statistics::FitError;
use thiserror::Error;

/// Why data cannot be fitted.
#[derive(Debug, Clone, Error)]
pub enum DataError {
    /// A cell cannot be used.
    #[error("{file}: row {row}, {column} = {raw}: expected {expected}")]
    Cell {
        /// File.
        file: String,
        /// Row.
        row: usize,
        /// Column.
        column: String,
        /// What stands there.
        raw: String,
        /// What would have been accepted.
        expected: String,
    },
    /// A column is missing or of no use.
    #[error("{file}: {what}")]
    Column {
        /// File.
        file: String,
        /// Which, and why.
        what: String,
    },
    /// The recipe cannot be used, or not at this row.
    #[error("{place}{error}")]
    Recipe {
        /// File and row, or nothing.
        place: String,
        /// Why.
        error: bathkin::Error,
    },
    /// The model misses the data, and what it predicts would be wrong beyond its spread.
    #[error(
        "{0}. What this fit predicts is wrong by more than its spread: mend recipe or data, or ask for it with despite_misfit"
    )]
    Misfit(String),
    /// The statistics refuse.
    #[error(transparent)]
    Fit(#[from] FitError),
}

impl From<bathkin::Error> for DataError {
    fn from(error: bathkin::Error) -> Self {
        DataError::Recipe { place: String::new(), error }
    }
}
