//! Long work on all cores, with an eye on the keyboard and the progress bar.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use bathkin_fit::Stop;
use pyo3::prelude::*;

/// Time between looks.
const LOOK_EVERY: Duration = Duration::from_millis(50);

/// Runs `work` without the interpreter lock in a thread of its own; this one, which alone hears of Ctrl-C,
/// looks up now and then. `work` reports how much is done and is told whether to go on; what has a copy of
/// `stop` is asked to stop. Calls on one fit from several threads share its stop, and end together.
pub fn watched<T: Send>(
    py: Python<'_>,
    progress: Option<&Py<PyAny>>,
    stop: &Stop,
    work: impl FnOnce(&(dyn Fn(usize) -> bool + Sync)) -> T + Send,
) -> PyResult<T> {
    stop.take_back();
    let done = AtomicUsize::new(0);
    let report = |count: usize| {
        done.fetch_max(count, Ordering::Relaxed);
        !stop.is_asked()
    };
    let look = || {
        Python::attach(|py| {
            py.check_signals()?;
            let count = done.load(Ordering::Relaxed);
            progress.map_or(Ok(()), |progress| progress.call1(py, (count,)).map(|_| ()))
        })
    };
    py.detach(|| {
        std::thread::scope(|scope| {
            let (open, finished) = channel::<()>();
            let worker = scope.spawn(move || {
                let found = work(&report);
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
            let found = worker.join();
            stop.take_back();
            match (interrupted, found) {
                (Some(error), _) => Err(error),
                (None, Ok(found)) => Ok(found),
                (None, Err(panic)) => std::panic::resume_unwind(panic),
            }
        })
    })
}
