//! The threads that share the work: made once, and anew in a forked process.
//!
//! Threads do not survive a fork: work that a child hands to those of its parent waits for ever. So the pool
//! belongs to the process that made it.

use std::sync::{Arc, Mutex, TryLockError};
use std::thread::yield_now;

use pyo3::exceptions::PyOSError;
use pyo3::prelude::*;
use rayon::{ThreadPool, ThreadPoolBuilder};

/// The pool, and the process that made it.
static MADE: Mutex<Option<(u32, Arc<ThreadPool>)>> = Mutex::new(None);

/// The pool of this process.
///
/// # Errors
/// `OSError` where the system gives no threads.
pub fn threads() -> PyResult<Arc<ThreadPool>> {
    let process = std::process::id();
    let known =
        look(|made| made.as_ref().filter(|(maker, _)| *maker == process).map(|(_, pool)| pool.clone()));
    if let Some(pool) = known.flatten() {
        return Ok(pool);
    }
    let pool = ThreadPoolBuilder::new()
        .build()
        .map(Arc::new)
        .map_err(|error| PyOSError::new_err(format!("no threads to compute with: {error}")))?;
    look(|made| {
        // A parent's pool has no threads here to end: it is left alone.
        if let Some(parents) = made.replace((process, pool.clone())) {
            std::mem::forget(parents);
        }
    });
    Ok(pool)
}

/// Looks at what is made. `None` where another thread held it when this process was forked: nobody lets go of it
/// here, and the caller's own pool will do.
fn look<T>(at: impl FnOnce(&mut Option<(u32, Arc<ThreadPool>)>) -> T) -> Option<T> {
    const TRIES: usize = 10_000;
    for _ in 0..TRIES {
        match MADE.try_lock() {
            Ok(mut made) => return Some(at(&mut made)),
            Err(TryLockError::Poisoned(made)) => return Some(at(&mut made.into_inner())),
            Err(TryLockError::WouldBlock) => yield_now(),
        }
    }
    None
}
