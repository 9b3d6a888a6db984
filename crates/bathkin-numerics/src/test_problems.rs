//! Problems given by closures, for the tests.

use crate::{Arrival, Crossing, IntegrationError, Options, Problem, advance};

/// One problem given by closures.
pub(crate) struct Closures<F, G> {
    pub(crate) n: usize,
    pub(crate) rate: F,
    pub(crate) events: Vec<Crossing>,
    pub(crate) event: G,
}

impl<F, G> Problem for Closures<F, G>
where
    F: Fn(f64, &[f64], &mut [f64]) -> Result<(), &'static str>,
    G: Fn(f64, &[f64], &mut [f64]) -> Result<(), &'static str>,
{
    type Error = &'static str;
    fn dimension(&self) -> usize {
        self.n
    }
    fn derivative(&self, t: f64, y: &[f64], dy: &mut [f64]) -> Result<(), &'static str> {
        (self.rate)(t, y, dy)
    }
    fn event_count(&self) -> usize {
        self.events.len()
    }
    fn event_values(&self, t: f64, y: &[f64], g: &mut [f64]) -> Result<(), &'static str> {
        (self.event)(t, y, g)
    }
    fn event_direction(&self, index: usize) -> Crossing {
        self.events[index]
    }
}

/// A scalar problem without events.
pub(crate) fn plain(rate: impl Fn(f64, f64) -> f64) -> impl Problem<Error = &'static str> {
    with_events(rate, vec![], |_, _, _| {})
}

/// A scalar problem with events.
pub(crate) fn with_events(
    rate: impl Fn(f64, f64) -> f64,
    events: Vec<Crossing>,
    event: impl Fn(f64, f64, &mut [f64]),
) -> impl Problem<Error = &'static str> {
    Closures {
        n: 1,
        rate: move |t: f64, y: &[f64], dy: &mut [f64]| {
            dy[0] = rate(t, y[0]);
            Ok(())
        },
        events,
        event: move |t: f64, y: &[f64], g: &mut [f64]| {
            event(t, y[0], g);
            Ok(())
        },
    }
}

pub(crate) fn run<P: Problem<Error = &'static str>>(
    problem: &P,
    start: f64,
    y: &mut f64,
    end: f64,
) -> Result<Arrival, IntegrationError<&'static str>> {
    advance(problem, start, std::slice::from_mut(y), end, None, &Options::default())
}

pub(crate) fn close(actual: f64, expected: f64, allowed: f64) {
    assert!((actual - expected).abs() <= allowed, "{actual} instead of {expected}");
}
