//! How a life is computed.

use crate::constants::SECONDS_PER_HOUR;
use crate::error::Error;
use crate::tank::Balances;
use bathkin_numerics::{IntegrationError, Limiting};

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

/// Why an integration of these balances has no answer, at its time; what failed on the right-hand side as it failed.
/// Of several baths side by side a slot is counted on from bath to bath, `each` to a bath.
pub(super) fn failed(error: IntegrationError<Error>, balances: &Balances, each: usize) -> Error {
    let time_h = error.time().unwrap_or(f64::NAN) / SECONDS_PER_HOUR;
    let limiting = error.limiting();
    match (error, limiting) {
        (
            IntegrationError::RightHandSide { source, .. } | IntegrationError::EventFunction { source, .. },
            _,
        ) => source.at_time(time_h),
        (error, Some(Limiting { slot, error: residual })) => {
            let (worst, total_mol_l) = balances.slot(slot % each);
            let cause = match error {
                IntegrationError::TooManySteps { steps, .. } => format!("more than {steps} steps needed"),
                IntegrationError::StepTooSmall { .. } => "the step became too small".to_owned(),
                _ => "stiff: steps are limited by stability, not accuracy".to_owned(),
            };
            let what = format!("the integration of the bath ({cause})");
            Error::Convergence { what, time_h: Some(time_h), residual, worst, total_mol_l, free_mol_l: None }
        }
        (other, None) => Error::Simulation { time_h, reason: other.to_string() },
    }
}
