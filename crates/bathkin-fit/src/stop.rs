//! Stopping long work from another thread.

pub use bathkin::stop::{AtWork, Stop};

use bathkin_statistics::FitError;

use crate::error::DataError;

/// What work found, if it came to its end: stopped work fails in ways of its own, or finds part of it.
pub(crate) fn unless_asked<T>(stop: &Stop, found: Result<T, DataError>) -> Result<T, DataError> {
    if stop.is_asked() { Err(FitError::Stopped.into()) } else { found }
}
