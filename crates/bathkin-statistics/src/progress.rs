//! Counting parts of long work that are done in any order.

use std::sync::atomic::{AtomicUsize, Ordering};

/// Hears how many parts of the work are done.
pub type Done<'a> = &'a (dyn Fn(usize) + Sync);

/// Hears whether the work is to stop.
pub type Stopped<'a> = &'a (dyn Fn() -> bool + Sync);

/// Counts parts that are done in any order, and reports.
pub struct Counter<'a> {
    done: AtomicUsize,
    report: Done<'a>,
}

impl<'a> Counter<'a> {
    /// None done yet.
    pub fn new(report: Done<'a>) -> Self {
        Counter { done: AtomicUsize::new(0), report }
    }

    /// One more is done.
    pub fn one_more(&self) {
        (self.report)(self.done.fetch_add(1, Ordering::Relaxed) + 1);
    }
}
