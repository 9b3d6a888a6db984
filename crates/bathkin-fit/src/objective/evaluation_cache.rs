//! What was computed last, since a search asks for the same point twice and many fits start from one.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

/// Values of every case.
pub(crate) type Values = Arc<Vec<Vec<f64>>>;

/// Values of every case at a point, with their slopes by free number (empty where it has no say).
#[derive(Debug)]
pub(crate) struct Linearised {
    pub at: Vec<f64>,
    pub values: Values,
    pub slopes: Vec<Vec<Vec<f64>>>,
}

/// What was computed last.
#[derive(Debug, Default)]
pub(crate) struct EvaluationCache {
    points: Mutex<Points>,
}

#[derive(Debug, Default)]
struct Points {
    last: Option<Arc<Linearised>>,
    /// Where many fits start.
    pinned: Option<Arc<Linearised>>,
    /// Trials of searches that run at the same time, the latest first.
    trials: VecDeque<(Vec<f64>, Values)>,
}

impl EvaluationCache {
    /// Values and slopes at a point.
    pub fn linearised(&self, at: &[f64]) -> Option<Arc<Linearised>> {
        self.look(|points| points.linearised(at).cloned())
    }

    /// Values at a point.
    ///
    /// Never those that came with slopes, but for the pinned ones: baths carried side by side round otherwise,
    /// and which of searches that run at the same time left them is chance.
    pub fn values(&self, at: &[f64]) -> Option<Values> {
        self.look(|points| {
            let tried = || points.trials.iter().find(|(known, _)| known == at).map(|(_, values)| values);
            let pinned = points.pinned.as_ref().filter(|kept| kept.at == at);
            pinned.map(|found| &found.values).or_else(tried).cloned()
        })
    }

    /// Keeps values and slopes, instead of those before.
    pub fn keep(&self, found: &Arc<Linearised>) {
        self.look(|points| points.last = Some(found.clone()));
    }

    /// Keeps values and slopes for good.
    pub fn pin(&self, found: &Arc<Linearised>) {
        self.look(|points| points.pinned = Some(found.clone()));
    }

    /// Keeps values, until other trials have taken their place.
    pub fn keep_values(&self, at: &[f64], values: &Values) {
        let most = 2 * rayon::current_num_threads();
        self.look(|points| {
            points.trials.truncate(most - 1);
            points.trials.push_front((at.to_vec(), values.clone()));
        });
    }

    fn look<T>(&self, at: impl FnOnce(&mut Points) -> T) -> T {
        at(&mut self.points.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Points {
    fn linearised(&self, at: &[f64]) -> Option<&Arc<Linearised>> {
        [&self.last, &self.pinned].into_iter().flatten().find(|kept| kept.at == at)
    }
}
