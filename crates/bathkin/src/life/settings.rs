//! How a life is computed.

use crate::constants::SECONDS_PER_HOUR;
use crate::error::Error;
use bathkin_numerics::IntegrationError;

/// How a life is computed.
#[derive(Debug, Clone, PartialEq, schemars::JsonSchema, serde::Serialize)]
#[serde(rename = "SolverSettings")]
pub struct Settings {
    /// Clock time at which to give up waiting for a limit, h.
    pub longest_clock_h: f64,
    /// Relative tolerance of the integration.
    pub relative_tolerance: f64,
    /// Time to which events are located, s.
    pub event_time_tolerance_s: f64,
    /// Most steps between two stops, accepted or not.
    pub max_steps: u32,
}

impl Default for Settings {
    /// A year of clock time, 1e-8 relative, a millisecond, 100,000 steps.
    fn default() -> Self {
        Settings {
            longest_clock_h: 8760.0,
            relative_tolerance: 1e-8,
            event_time_tolerance_s: 1e-3,
            max_steps: 100_000,
        }
    }
}

pub(super) fn in_hours(error: IntegrationError<Error>) -> Error {
    let time_h = error.time().unwrap_or(f64::NAN) / SECONDS_PER_HOUR;
    let reason = match error {
        IntegrationError::RightHandSide { source, .. } | IntegrationError::EventFunction { source, .. } => {
            source.to_string()
        }
        other => other.to_string(),
    };
    Error::Simulation { time_h, reason }
}
