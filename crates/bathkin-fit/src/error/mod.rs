//! Why data cannot be fitted, or a fit cannot answer: every sentence of this crate's errors.

mod cause;
mod request;
mod sheet;
mod specification;

pub use request::RequestProblem;
pub use sheet::SheetProblem;
pub use specification::{Part, SpecificationProblem};

use bathkin_statistics::FitError;
use thiserror::Error;

use crate::format::number;

/// Why data cannot be fitted, or a fit cannot answer.
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
    /// A column or a whole sheet cannot be used.
    #[error("{file}: {problem}")]
    Sheet {
        /// File.
        file: String,
        /// Why.
        problem: SheetProblem,
    },
    /// What is free, tied, grouped, bounded or known before does not hold together.
    #[error(transparent)]
    Specification(#[from] SpecificationProblem),
    /// The recipe cannot be used, or not at this row.
    #[error("{place}{error}")]
    Recipe {
        /// File and row, or nothing.
        place: String,
        /// Why.
        error: bathkin::Error,
    },
    /// The search ended without a minimum.
    #[error(
        "the fit did not converge ({reason}) in {evaluations} evaluations; it stopped at {}{}; the data do not determine \
         all of these: free fewer, or give bounds or priors",
        listed(at), refused(refusal.as_deref())
    )]
    NotConverged {
        /// Code of [`Termination`](bathkin_numerics::least_squares::Termination).
        reason: &'static str,
        /// Evaluations of the model.
        evaluations: usize,
        /// The best estimates seen, by name, in the recipe's units.
        at: Vec<(String, f64)>,
        /// Why the recipe refused the last point that it did: at a row, with residual and worst component where an
        /// equilibrium did not converge.
        refusal: Option<Box<DataError>>,
    },
    /// The model misses the data, and what it predicts would be wrong beyond its spread.
    #[error(
        "{}. What this fit predicts is wrong by more than its spread: mend recipe or data, or ask for it with \
         despite_misfit", remarks.join("; ")
    )]
    Misfit {
        /// The remarks that say so.
        remarks: Vec<String>,
    },
    /// This fit cannot answer.
    #[error(transparent)]
    Request(#[from] RequestProblem),
    /// The statistics refuse.
    #[error(transparent)]
    Fit(#[from] FitError),
}

impl From<bathkin::Error> for DataError {
    fn from(error: bathkin::Error) -> Self {
        DataError::Recipe { place: String::new(), error }
    }
}

fn listed(at: &[(String, f64)]) -> String {
    at.iter().map(|(name, value)| format!("{name} = {}", number(*value, 4))).collect::<Vec<_>>().join(", ")
}

fn refused(refusal: Option<&DataError>) -> String {
    refusal.map_or(String::new(), |error| format!("; the recipe refused a step: {error}"))
}
