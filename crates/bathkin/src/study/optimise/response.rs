//! A point of the box as a member of an ensemble.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use bathkin_statistics::optimise::{Answer, Response};

use crate::error::{Error, Result};
use crate::model::Model;
use crate::study::optimise::request::Resolved;

/// Hears how many points are done, and says whether to go on.
pub type Report<'a> = &'a (dyn Fn(usize) -> bool + Sync);

/// Why a point has no answer.
#[derive(Debug, Clone, PartialEq)]
pub struct NoAnswer {
    /// The kind of error, for programs.
    pub code: String,
    /// In words.
    pub reason: String,
}

/// What is asked at points, each of which is a life, or a fresh bath where nothing asks for more.
pub struct Lives<'a> {
    resolved: &'a Resolved,
    base: &'a Model,
    place: String,
    report: Report<'a>,
    done: AtomicUsize,
    /// First limits, which are told as their places behind the outputs.
    limits: Mutex<Vec<String>>,
}

impl<'a> Lives<'a> {
    /// None computed yet; `by` is named in messages.
    pub fn new(resolved: &'a Resolved, by: &str, report: Report<'a>) -> Result<Self> {
        let base = resolved.points.base()?;
        let (place, done, limits) = (format!("{by}: a point"), AtomicUsize::new(0), Mutex::default());
        Ok(Lives { resolved, base, place, report, done, limits })
    }

    /// The first limit of an answer; none where no life was computed.
    pub fn first_limit(&self, found: &[f64]) -> Option<String> {
        let place = *found.get(self.resolved.points.outputs.len())?;
        let limits = self.limits.lock().unwrap_or_else(PoisonError::into_inner);
        limits.get(place as usize).cloned()
    }

    fn place_of(&self, limit: String) -> f64 {
        let mut limits = self.limits.lock().unwrap_or_else(PoisonError::into_inner);
        let known = limits.iter().position(|known| *known == limit);
        let place = known.unwrap_or_else(|| {
            limits.push(limit);
            limits.len() - 1
        });
        place as f64
    }

    fn answer(&self, point: &[f64]) -> Result<Answer<NoAnswer>> {
        let (mut found, limit) =
            self.resolved.points.at(self.base, self.resolved.values(point), &self.place)?;
        if let Some(at) = found.iter().position(|value| !value.is_finite()) {
            let name = &self.resolved.points.outputs[at].name;
            let reason = format!("{name} has no value there: the life ends before, or reaches nothing of it");
            return Ok(Answer::Failed(NoAnswer { code: "no-value".to_owned(), reason }));
        }
        found.extend(limit.map(|limit| self.place_of(limit)));
        Ok(Answer::Found(found))
    }
}

impl Response for Lives<'_> {
    type Failure = NoAnswer;

    fn at(&self, point: &[f64]) -> Answer<NoAnswer> {
        if !(self.report)(self.done.load(Ordering::Relaxed)) {
            return Answer::Stopped;
        }
        let answer = match self.answer(point) {
            Ok(answer) => answer,
            Err(Error::Stopped) => return Answer::Stopped,
            // What a stop broke off is no failure of the point.
            Err(_) if self.resolved.points.recipe().go_on().is_err() => return Answer::Stopped,
            Err(error) => {
                Answer::Failed(NoAnswer { code: error.remark().code.to_string(), reason: error.to_string() })
            }
        };
        (self.report)(self.done.fetch_add(1, Ordering::Relaxed) + 1);
        answer
    }
}
