//! Why an integration stopped without an answer.

use thiserror::Error;

/// The component of the state that the last accepted step was shortest for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limiting {
    /// Its place in the state.
    pub slot: usize,
    /// Its error in that step over its tolerance.
    pub error: f64,
}

/// Why [`advance`](crate::advance) gave no answer. `E` is the problem's own error.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum IntegrationError<E> {
    /// A setting or argument is outside its range.
    #[error("{what} = {value} is outside its range")]
    BadOptions {
        /// Which one.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// The right-hand side failed, and shorter steps did not avoid it.
    #[error("the right-hand side failed at time {time}")]
    RightHandSide {
        /// Time of the failing evaluation.
        time: f64,
        /// The problem's own error.
        source: E,
    },
    /// The event functions failed.
    #[error("the event functions failed at time {time}")]
    EventFunction {
        /// Time of the failing evaluation.
        time: f64,
        /// The problem's own error.
        source: E,
    },
    /// A state or a derivative is NaN or infinite, and shorter steps did not avoid it.
    #[error("a state or derivative is not finite at time {time}")]
    NotFinite {
        /// Time at which it happened.
        time: f64,
    },
    /// An event function is NaN or infinite.
    #[error("event function {index} is not finite at time {time}")]
    EventNotFinite {
        /// Which one.
        index: usize,
        /// Time of the evaluation.
        time: f64,
    },
    /// A crossing was seen but its time could not be narrowed down.
    #[error("the crossing of event function {index} before time {time} could not be located")]
    EventNotLocated {
        /// Which one.
        index: usize,
        /// A time just past the crossing.
        time: f64,
    },
    /// More steps than allowed.
    #[error("more than {steps} steps needed; stopped at time {time}")]
    TooManySteps {
        /// Time reached.
        time: f64,
        /// The limit.
        steps: u32,
        /// What held the steps short; `None` before the first.
        limiting: Option<Limiting>,
    },
    /// The step needed for the tolerances is below the resolution of the clock.
    #[error("the step became too small at time {time}")]
    StepTooSmall {
        /// Time reached.
        time: f64,
        /// What held the steps short; `None` before the first.
        limiting: Option<Limiting>,
    },
    /// The problem is too stiff for an explicit method.
    #[error("the problem is stiff at time {time}: steps are limited by stability, not accuracy")]
    Stiff {
        /// Time reached.
        time: f64,
        /// What held the steps short; `None` before the first.
        limiting: Option<Limiting>,
    },
}

impl<E> IntegrationError<E> {
    /// What held the steps short, where that is why it failed.
    pub fn limiting(&self) -> Option<Limiting> {
        match *self {
            IntegrationError::TooManySteps { limiting, .. }
            | IntegrationError::StepTooSmall { limiting, .. }
            | IntegrationError::Stiff { limiting, .. } => limiting,
            _ => None,
        }
    }

    /// The time it happened at, where there is one.
    pub fn time(&self) -> Option<f64> {
        match *self {
            IntegrationError::BadOptions { .. } => None,
            IntegrationError::RightHandSide { time, .. }
            | IntegrationError::EventFunction { time, .. }
            | IntegrationError::NotFinite { time }
            | IntegrationError::EventNotFinite { time, .. }
            | IntegrationError::EventNotLocated { time, .. }
            | IntegrationError::TooManySteps { time, .. }
            | IntegrationError::StepTooSmall { time, .. }
            | IntegrationError::Stiff { time, .. } => Some(time),
        }
    }
}
