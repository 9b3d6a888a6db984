//! Points that were tried, and the first of them.

use rayon::prelude::*;

use crate::error::FitError;
use crate::sobol::Sobol;

/// What a point comes to.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer<F> {
    /// Outputs, all finite.
    Found(Vec<f64>),
    /// None, with the reason.
    Failed(F),
    /// Nothing: the work is to end.
    Stopped,
}

/// What is asked at points of the unit cube.
pub trait Response: Sync {
    /// Why a point has no answer.
    type Failure: Clone + Send + Sync;

    /// The answer at a point, the same however often and by whichever thread it is asked.
    fn at(&self, point: &[f64]) -> Answer<Self::Failure>;
}

/// A point that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried<F> {
    /// The point.
    pub point: Vec<f64>,
    /// Its outputs, or why it has none.
    pub found: Result<Vec<f64>, F>,
}

/// A search for best points, and what it has tried so far: another problem over the same outputs begins with that.
#[derive(Debug)]
pub struct Optimiser<'a, R: Response> {
    pub(super) response: &'a R,
    pub(super) dimensions: usize,
    points: Sobol,
    next: u32,
    /// All points that were tried, in an order that does not depend on threads.
    pub tried: Vec<Tried<R::Failure>>,
    /// Whether it was ended before it was done.
    pub stopped: bool,
}

impl<'a, R: Response> Optimiser<'a, R> {
    /// Nothing tried yet.
    ///
    /// # Errors
    /// [`FitError::Count`] for no dimensions, or more than Sobol's sequence has.
    pub fn new(response: &'a R, dimensions: usize, seed: u64) -> Result<Self, FitError> {
        let points = Sobol::scrambled(dimensions, seed)?;
        Ok(Optimiser { response, dimensions, points, next: 0, tried: Vec::new(), stopped: false })
    }

    /// Tries points side by side.
    pub fn try_points(&mut self, points: Vec<Vec<f64>>) {
        let found = self.answers(points);
        self.tried.extend(found);
    }

    /// Tries the next points of the sequence over the whole cube.
    pub fn explore(&mut self, count: u32) {
        let window = vec![(0.0, 1.0); self.dimensions];
        let points = self.next_points(count, &window);
        self.try_points(points);
    }

    /// The next points of the sequence, in a window (low, high).
    pub(super) fn next_points(&mut self, count: u32, window: &[(f64, f64)]) -> Vec<Vec<f64>> {
        let from = self.next;
        self.next += count;
        (from..self.next)
            .map(|number| {
                let part = |place| self.points.coordinate(number, place);
                window
                    .iter()
                    .enumerate()
                    .map(|(place, (low, high))| low + part(place) * (high - low))
                    .collect()
            })
            .collect()
    }

    /// The answers at points, without those that were not begun when the work was to end.
    pub(super) fn answers(&mut self, points: Vec<Vec<f64>>) -> Vec<Tried<R::Failure>> {
        let count = points.len();
        let found: Vec<Tried<R::Failure>> =
            points.into_par_iter().filter_map(|point| tried(self.response, point)).collect();
        self.stopped |= found.len() < count;
        found
    }
}

/// A point with its answer; none where the work is to end.
pub(super) fn tried<R: Response>(response: &R, point: Vec<f64>) -> Option<Tried<R::Failure>> {
    match response.at(&point) {
        Answer::Found(found) => Some(Tried { point, found: Ok(found) }),
        Answer::Failed(why) => Some(Tried { point, found: Err(why) }),
        Answer::Stopped => None,
    }
}
