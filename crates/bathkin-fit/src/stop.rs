//! Stopping long work from another thread.

use std::sync::atomic::{AtomicUsize, Ordering};

pub use bathkin::stop::{AtWork, Stop};

use crate::error::FitError;
use crate::problem::DataError;

/// Hears how many parts of the work are done.
pub type Done<'a> = &'a (dyn Fn(usize) + Sync);

/// Counts parts that are done in any order, and tells.
pub(crate) struct Counter<'a> {
    done: AtomicUsize,
    tell: Done<'a>,
}

impl<'a> Counter<'a> {
    pub fn new(tell: Done<'a>) -> Self {
        Counter { done: AtomicUsize::new(0), tell }
    }

    /// One more is done.
    pub fn one_more(&self) {
        (self.tell)(self.done.fetch_add(1, Ordering::Relaxed) + 1);
    }
}

/// What work found, if it came to its end: stopped work fails in ways of its own, or finds part of it.
pub(crate) fn unless_asked<T>(stop: &Stop, found: Result<T, DataError>) -> Result<T, DataError> {
    if stop.is_asked() { Err(FitError::Stopped.into()) } else { found }
}
