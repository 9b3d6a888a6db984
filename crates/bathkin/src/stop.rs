//! Stopping long work from another thread.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use crate::error::{Error, Result};

/// Asks work that has a copy of it to stop; see [`Recipe::heeding`](crate::Recipe::heeding).
///
/// ```
/// use bathkin::Stop;
///
/// let stop = Stop::default();
/// let seen_by_the_work = stop.clone();
/// stop.ask();
/// assert!(seen_by_the_work.is_asked());
/// ```
#[derive(Debug, Clone, Default)]
pub struct Stop(Arc<Shared>);

#[derive(Debug, Default)]
struct Shared {
    asked: AtomicBool,
    at_work: AtomicUsize,
}

/// Work that heeds a [`Stop`]; the last of it that ends takes the asking back.
#[derive(Debug)]
pub struct AtWork(Stop);

impl Stop {
    /// Asks to stop.
    pub fn ask(&self) {
        self.0.asked.store(true, Ordering::Relaxed);
    }

    /// Takes it back, for other work that has a copy.
    pub fn take_back(&self) {
        self.0.asked.store(false, Ordering::Relaxed);
    }

    /// Whether to stop.
    pub fn is_asked(&self) -> bool {
        self.0.asked.load(Ordering::Relaxed)
    }

    /// Begins work, which ends when the answer is dropped. Work on the same thing at the same time stops
    /// together: none may take for its own answer what another one's stop left.
    pub fn begin(&self) -> AtWork {
        self.0.at_work.fetch_add(1, Ordering::Relaxed);
        AtWork(self.clone())
    }

    /// Goes on unless asked to stop.
    ///
    /// # Errors
    /// [`Error::Stopped`].
    pub fn go_on(&self) -> Result<()> {
        if self.is_asked() { Err(Error::Stopped) } else { Ok(()) }
    }
}

impl Drop for AtWork {
    fn drop(&mut self) {
        if self.0.0.at_work.fetch_sub(1, Ordering::Relaxed) == 1 {
            self.0.take_back();
        }
    }
}

/// Who asks work to stop is no part of what it is asked for.
impl PartialEq for Stop {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}
