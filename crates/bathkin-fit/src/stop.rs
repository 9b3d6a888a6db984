//! Stopping long work from another thread.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::error::FitError;
use crate::problem::DataError;

/// Asks work that has a copy of it to stop.
///
/// ```
/// use bathkin_fit::Stop;
///
/// let stop = Stop::default();
/// let seen_by_the_work = stop.clone();
/// stop.ask();
/// assert!(seen_by_the_work.is_asked());
/// ```
#[derive(Debug, Clone, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Asks to stop.
    pub fn ask(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// Takes it back, for other work that has a copy.
    pub fn take_back(&self) {
        self.0.store(false, Ordering::Relaxed);
    }

    /// Whether to stop.
    pub fn is_asked(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }

    /// What work found, if it came to its end: stopped work fails in ways of its own, or finds part of it.
    pub(crate) fn unless_asked<T>(&self, found: Result<T, DataError>) -> Result<T, DataError> {
        if self.is_asked() { Err(FitError::Stopped.into()) } else { found }
    }
}

/// Who asks a fit to stop is no part of what the fit is asked for.
impl PartialEq for Stop {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}
