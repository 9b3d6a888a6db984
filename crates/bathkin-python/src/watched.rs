//! Long work on all cores, with an eye on the keyboard and the progress bar.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use bathkin::{Bath, Recipe, Stop};
use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;

use crate::errors::raise;
use crate::threads::threads;
use crate::typed::Progress;

/// Time between looks.
const LOOK_EVERY: Duration = Duration::from_millis(50);

/// Says how much is done, a number that only grows, and hears whether to go on.
pub type Report<'a> = &'a (dyn Fn(f64) -> bool + Sync);

/// Runs `work` without the interpreter lock in threads of its own; this one, which alone hears of Ctrl-C, looks up
/// now and then. What has a copy of `stop` is asked to stop. Calls on one fit from several threads share its stop,
/// and end together.
pub fn watched<T: Send>(
    py: Python<'_>,
    progress: Option<&Progress>,
    stop: &Stop,
    work: impl FnOnce(Report) -> T + Send,
) -> PyResult<T> {
    let at_work = stop.begin();
    let found = match until_interrupted(py, progress, stop, work)? {
        (_, Some(interrupted)) => Err(interrupted),
        // Another call on the same thing was interrupted: what was found may be short of what was asked.
        _ if stop.is_asked() => Err(PyRuntimeError::new_err("stopped before it ended")),
        (found, None) => Ok(found),
    };
    drop(at_work);
    found
}

/// The same, of work that has something to show when it is interrupted: with what interrupted it.
pub fn until_interrupted<T: Send>(
    py: Python<'_>,
    progress: Option<&Progress>,
    stop: &Stop,
    work: impl FnOnce(Report) -> T + Send,
) -> PyResult<(T, Option<PyErr>)> {
    let pool = threads()?;
    // Bits of numbers that are not negative are ordered as the numbers.
    let done = AtomicU64::new(0);
    let report = |count: f64| {
        done.fetch_max(count.max(0.0).to_bits(), Ordering::Relaxed);
        !stop.is_asked()
    };
    let look = || {
        Python::attach(|py| {
            py.check_signals()?;
            let count = f64::from_bits(done.load(Ordering::Relaxed));
            progress.map_or(Ok(()), |progress| progress.0.call1(py, (count,)).map(|_| ()))
        })
    };
    py.detach(|| {
        std::thread::scope(|scope| {
            let (open, finished) = channel::<()>();
            let worker = scope.spawn(move || {
                let found = pool.install(|| work(&report));
                drop(open);
                found
            });
            let mut interrupted = None;
            while let Err(RecvTimeoutError::Timeout) = finished.recv_timeout(LOOK_EVERY) {
                if interrupted.is_none() {
                    interrupted = look().err();
                    if interrupted.is_some() {
                        stop.ask();
                    }
                }
            }
            match worker.join() {
                Ok(found) => Ok((found, interrupted)),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        })
    })
}

/// Work of a recipe that hears of Ctrl-C.
pub fn of_recipe<T: Send>(
    py: Python<'_>,
    recipe: &Recipe,
    work: impl FnOnce(&Recipe) -> bathkin::error::Result<T> + Send,
) -> PyResult<T> {
    let stop = Stop::default();
    let heeding = recipe.heeding(&stop);
    watched(py, None, &stop, |_| work(&heeding))?.map_err(|error| raise(py, &error))
}

/// Work of a bath that hears of Ctrl-C.
pub fn of_bath<T: Send>(
    py: Python<'_>,
    bath: &Bath,
    work: impl FnOnce(&Bath) -> bathkin::error::Result<T> + Send,
) -> PyResult<T> {
    let stop = Stop::default();
    let heeding = bath.heeding(&stop);
    watched(py, None, &stop, |_| work(&heeding))?.map_err(|error| raise(py, &error))
}
