//! The work: chunks handed out in order to whatever threads there are.

use std::ops::Range;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::error::{Error, Result};
use crate::study::ensemble::plan::{CHUNK, Chunk, EnsemblePlan};

/// The parts of some members that lie in one chunk each, counted from member 0.
pub fn chunks(members: Range<u64>) -> impl Iterator<Item = Range<u64>> {
    let end = members.end;
    let start = move |from: u64| (from < end).then(|| (from, end.min((from / CHUNK + 1) * CHUNK)));
    std::iter::successors(start(members.start), move |(_, to)| start(*to)).map(|(from, to)| from..to)
}

impl EnsemblePlan {
    /// Computes parts in all threads of the current pool, and hands each over as it is done. Parts begin in order, so
    /// that few are ever done before an earlier one. `take` is called by one thread at a time.
    ///
    /// # Errors
    /// [`Error::Stopped`], and what `take` gives; nothing that was handed over is lost.
    pub fn run<E: From<Error> + Send>(
        &self,
        parts: &[Range<u64>],
        take: impl FnMut(Chunk) -> std::result::Result<(), E> + Send,
    ) -> std::result::Result<(), E> {
        let next = AtomicUsize::new(0);
        let taking = Mutex::new(take);
        let found = rayon::broadcast(|_| {
            while let Some(part) = parts.get(next.fetch_add(1, Ordering::Relaxed)) {
                let done = self.chunk(part.clone()).map_err(E::from).and_then(|chunk| {
                    let mut take = taking.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
                    take(chunk)
                });
                if done.is_err() {
                    // Nobody begins another one.
                    next.store(parts.len(), Ordering::Relaxed);
                    return done;
                }
            }
            Ok(())
        });
        found.into_iter().collect()
    }

    /// Computes some members one after the other in this thread.
    ///
    /// # Errors
    /// [`Error::Stopped`].
    pub fn in_this_thread(&self, members: Range<u64>, mut take: impl FnMut(Chunk)) -> Result<()> {
        chunks(members).try_for_each(|part| self.chunk(part).map(&mut take))
    }
}
