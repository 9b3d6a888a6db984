//! How hot a bath came to be, between rows of its table too.

use serde::Serialize;

use crate::constants::{SECONDS_PER_HOUR, ZERO_CELSIUS_K};
use crate::tank::Tank;

/// The hottest moment of a life. Temperatures move along straight lines between stops, so that it is at one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Hottest {
    /// Temperature, degC.
    pub temperature_c: f64,
    /// Clock time, h.
    pub at_h: f64,
}

impl Hottest {
    /// Nothing to see in a tank whose temperature never moves.
    pub(super) fn of_tank(tank: &Tank) -> Option<Self> {
        let temperature_c = tank.temperature_k - ZERO_CELSIUS_K;
        (!tank.programme.is_constant()).then_some(Hottest { temperature_c, at_h: 0.0 })
    }

    /// Looks at the temperature at a stop.
    pub(super) fn look(standing: &mut Option<Self>, time_s: f64, temperature_k: f64) {
        let temperature_c = temperature_k - ZERO_CELSIUS_K;
        if let Some(hottest) = standing.as_mut().filter(|hottest| temperature_c > hottest.temperature_c) {
            *hottest = Hottest { temperature_c, at_h: time_s / SECONDS_PER_HOUR };
        }
    }
}
