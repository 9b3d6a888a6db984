//! Searches from the best points that lie apart, and again in smaller windows about the best.

use rayon::prelude::*;

use crate::optimise::problem::Problem;
use crate::optimise::sample::{Optimiser, Response, Tried};
use crate::optimise::search::{Scaled, Stride, search};

/// How much is tried.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Local searches from the points that are best so far.
    pub starts: usize,
    /// Rounds after those, each in a smaller window about the best point.
    pub restarts: usize,
}

/// How far starts lie apart, in some number, of its range.
const APART: f64 = 0.15;
/// Width of the first window, and how much smaller the next one is.
const WINDOW: (f64, f64) = (0.2, 0.25);
/// First and last change of the first searches, of the range of a number.
const FIRST: (f64, f64) = (0.15, 1e-3);
/// Change that the last rounds end at.
const FINEST: f64 = 1e-4;

impl<R: Response> Optimiser<'_, R> {
    /// Looks for a better point.
    pub fn improve(&mut self, problem: &Problem, effort: Effort) {
        let most = 20 * (self.dimensions + 1);
        let starts = self.apart(problem, effort.starts, APART);
        self.searches(problem, &starts, Stride { first: FIRST.0, last: FIRST.1, most });
        let mut width = WINDOW.0;
        for _ in 0..effort.restarts {
            let Some(best) = problem.best(&self.tried) else { return };
            let window: Vec<(f64, f64)> = self.tried[best].point.iter().map(|at| about(*at, width)).collect();
            let first = self.tried.len();
            let points = self.next_points(2 * (self.dimensions as u32 + 1), &window);
            self.try_points(points);
            let ranked = problem.ranked(&self.tried);
            // The best point, and the best of those that are new.
            let fresh = ranked.iter().copied().find(|place| *place >= first && Some(place) != ranked.first());
            let starts: Vec<usize> = ranked.first().copied().into_iter().chain(fresh).collect();
            self.searches(problem, &starts, Stride { first: 0.5 * width, last: FINEST, most });
            width *= WINDOW.1;
        }
    }

    /// Searches side by side, their points put together in the order of the starts.
    fn searches(&mut self, problem: &Problem, starts: &[usize], stride: Stride) {
        if self.stopped {
            return;
        }
        let scaled = Scaled::new(problem, &self.tried);
        let found: Vec<(Vec<Tried<R::Failure>>, bool)> = starts
            .par_iter()
            .map(|place| search(self.response, &scaled, &self.tried[*place], stride))
            .collect();
        for (path, ended) in found {
            self.tried.extend(path);
            self.stopped |= !ended;
        }
    }

    /// The best points that lie apart.
    fn apart(&self, problem: &Problem, count: usize, distance: f64) -> Vec<usize> {
        let mut chosen: Vec<usize> = Vec::new();
        for place in problem.ranked(&self.tried) {
            let far = |other: &usize| {
                let pairs = self.tried[place].point.iter().zip(&self.tried[*other].point);
                pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max) >= distance
            };
            if chosen.len() < count && chosen.iter().all(far) {
                chosen.push(place);
            }
        }
        chosen
    }
}

/// A window of some width about a value, moved inside 0 and 1.
pub(super) fn about(at: f64, width: f64) -> (f64, f64) {
    let low = (at - 0.5 * width).clamp(0.0, 1.0 - width);
    (low, low + width)
}
