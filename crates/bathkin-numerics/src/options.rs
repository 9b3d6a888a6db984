//! Settings of the integrator.

use crate::IntegrationError;

/// Settings of [`advance`](crate::advance).
///
/// The local error of a step is held to `sqrt(mean(e_i² / (a + r |y_i|)²)) ≤ 1`, with `e_i` the
/// estimated error of state `i`, `r` the relative and `a` the absolute tolerance.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// Relative tolerance `r`, > 0.
    pub relative_tolerance: f64,
    /// Absolute tolerance `a`, > 0. One for all states: scale them to order one.
    pub absolute_tolerance: f64,
    /// Width, in units of time, to which the moment of an event is narrowed, > 0.
    pub event_time_tolerance: f64,
    /// Interior points of each accepted step at which the event functions are looked at besides
    /// its ends, so that two crossings inside one step are not stepped over. With 0 only the ends
    /// count.
    pub samples_per_step: usize,
    /// Most steps, accepted or not, in one call, > 0.
    pub max_steps: u32,
    /// Longest step, > 0.
    pub max_step: Option<f64>,
}

impl Default for Options {
    /// 1e-8 relative, 1e-10 absolute, 1e-9 for event times, 4 samples, 100 000 steps.
    fn default() -> Self {
        Self {
            relative_tolerance: 1e-8,
            absolute_tolerance: 1e-10,
            event_time_tolerance: 1e-9,
            samples_per_step: 4,
            max_steps: 100_000,
            max_step: None,
        }
    }
}

impl Options {
    pub(crate) fn check<E>(&self) -> Result<(), IntegrationError<E>> {
        let positive = [
            ("relative_tolerance", self.relative_tolerance),
            ("absolute_tolerance", self.absolute_tolerance),
            ("event_time_tolerance", self.event_time_tolerance),
            ("max_steps", f64::from(self.max_steps)),
            ("max_step", self.max_step.unwrap_or(1.0)),
        ];
        for (what, value) in positive {
            if !(value.is_finite() && value > 0.0) {
                return Err(IntegrationError::BadOptions { what, value });
            }
        }
        Ok(())
    }
}
