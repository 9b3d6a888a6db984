//! One local search: COBYLA from a point.

use std::cell::RefCell;

use cobyla::{RhoBeg, StopTols, minimize};

use crate::optimise::problem::{Problem, spreads};
use crate::optimise::sample::{Response, Tried, tried};

/// How a search goes.
#[derive(Debug, Clone, Copy)]
pub struct Stride {
    /// First change of a number, of its range.
    pub first: f64,
    /// Change below which the search ends.
    pub last: f64,
    /// Most points it asks for.
    pub most: usize,
}

/// What a problem is to the search: goal and limits in spreads of their outputs, and what stands for a point without an answer.
pub struct Scaled<'a> {
    problem: &'a Problem,
    spreads: Vec<f64>,
    /// Worst goal and worst margins of the points before.
    worst: (f64, Vec<f64>),
}

impl<'a> Scaled<'a> {
    /// By the points that were tried before.
    pub fn new<F>(problem: &'a Problem, before: &[Tried<F>]) -> Self {
        let mut scaled = Scaled { problem, spreads: spreads(before), worst: (0.0, Vec::new()) };
        let none = (f64::NEG_INFINITY, vec![0.0_f64; problem.limits.len()]);
        let worst = before.iter().filter_map(|one| one.found.as_ref().ok()).fold(none, |worst, found| {
            let (merit, margins) = scaled.of(found);
            let margins = worst.1.iter().zip(margins).map(|(a, b)| a.min(b)).collect();
            (worst.0.max(merit), margins)
        });
        // A whole spread worse than anything that has an answer.
        scaled.worst = (worst.0 + 1.0, worst.1);
        scaled
    }

    /// Goal and margins.
    fn of(&self, found: &[f64]) -> (f64, Vec<f64>) {
        let margins =
            self.problem.limits.iter().map(|limit| limit.margin(found) / self.spreads[limit.output]);
        (self.problem.merit(found) / self.spreads[self.problem.goal.output], margins.collect())
    }

    fn of_point<F>(&self, point: Option<&Tried<F>>) -> (f64, Vec<f64>) {
        point
            .and_then(|one| one.found.as_ref().ok())
            .map_or_else(|| self.worst.clone(), |found| self.of(found))
    }
}

/// The points that a search from a point tries, and whether it came to its end.
///
/// The search takes limits for a hair narrower, a tenth of `stride.last` spreads of their output, so that it ends within them.
pub fn search<R: Response>(
    response: &R,
    scaled: &Scaled<'_>,
    start: &Tried<R::Failure>,
    stride: Stride,
) -> (Vec<Tried<R::Failure>>, bool) {
    let path: RefCell<Vec<Tried<R::Failure>>> = RefCell::new(Vec::new());
    let stopped = RefCell::new(false);
    // COBYLA asks for the goal and for each limit of a point one after the other.
    let look = |point: &[f64]| -> (f64, Vec<f64>) {
        if start.point == point {
            return scaled.of_point(Some(start));
        }
        if let Some(known) = path.borrow().iter().rev().find(|one| one.point == point) {
            return scaled.of_point(Some(known));
        }
        if *stopped.borrow() {
            return scaled.of_point::<R::Failure>(None);
        }
        let one = tried(response, point.to_vec());
        let found = scaled.of_point(one.as_ref());
        match one {
            Some(one) => path.borrow_mut().push(one),
            None => *stopped.borrow_mut() = true,
        }
        found
    };
    let inside = 0.1 * stride.last;
    let limits: Vec<_> = (0..scaled.problem.limits.len())
        .map(|place| {
            let look = &look;
            move |point: &[f64], _: &mut ()| look(point).1[place] - inside
        })
        .collect();
    let stop = StopTols { xtol_abs: vec![stride.last; start.point.len()], ..StopTols::default() };
    let bounds = vec![(0.0, 1.0); start.point.len()];
    let goal = |point: &[f64], _: &mut ()| look(point).0;
    // Its last point is one of those on the path, whatever it says of the end.
    let _ = minimize(
        goal,
        &start.point,
        &bounds,
        &limits,
        (),
        stride.most,
        RhoBeg::All(stride.first),
        Some(stop),
    );
    let ended = *stopped.borrow();
    (path.into_inner(), !ended)
}
