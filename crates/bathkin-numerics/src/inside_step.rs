//! Event functions between the ends of a step.

use crate::dense::Dense;
use crate::events::AlongStep;
use crate::{IntegrationError, Problem};

/// Every event function at a state; all must be finite.
pub(crate) fn event_values<P: Problem>(
    problem: &P,
    time: f64,
    state: &[f64],
    values: &mut [f64],
) -> Result<(), IntegrationError<P::Error>> {
    problem
        .event_values(time, state, values)
        .map_err(|source| IntegrationError::EventFunction { time, source })?;
    match values.iter().position(|value| !value.is_finite()) {
        Some(index) => Err(IntegrationError::EventNotFinite { index, time }),
        None => Ok(()),
    }
}

/// The event functions of a problem inside a step: at the interpolated state, and at the step's own at its end.
pub(crate) struct InsideStep<'a, P, T> {
    pub(crate) problem: &'a P,
    /// Time by `θ`.
    pub(crate) time: T,
    pub(crate) dense: &'a Dense,
    pub(crate) end: &'a [f64],
    pub(crate) between: &'a mut [f64],
}

impl<P: Problem, T: Fn(f64) -> f64> InsideStep<'_, P, T> {
    fn go_to(&mut self, theta: f64) {
        if theta < 1.0 {
            self.dense.evaluate(theta, self.between);
        } else {
            self.between.copy_from_slice(self.end);
        }
    }
}

impl<P: Problem, T: Fn(f64) -> f64> AlongStep<IntegrationError<P::Error>> for InsideStep<'_, P, T> {
    fn all(&mut self, theta: f64, values: &mut [f64]) -> Result<(), IntegrationError<P::Error>> {
        self.go_to(theta);
        event_values(self.problem, (self.time)(theta), self.between, values)
    }

    fn one(
        &mut self,
        index: usize,
        theta: f64,
        values: &mut [f64],
    ) -> Result<f64, IntegrationError<P::Error>> {
        self.go_to(theta);
        let time = (self.time)(theta);
        let value = self.problem.event_value(index, time, self.between, values);
        let value = value.map_err(|source| IntegrationError::EventFunction { time, source })?;
        if value.is_finite() { Ok(value) } else { Err(IntegrationError::EventNotFinite { index, time }) }
    }
}
