//! A measured course of the pH, which what is pumped follows.

use super::Tank;
use crate::constants::REFERENCE_TEMPERATURE_K;

/// A straight stretch of a measured pH: pH(t) = from + slope (t - since).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhLine {
    /// Clock time it starts, s.
    pub since_s: f64,
    /// pH there.
    pub from: f64,
    /// Slope, 1/s.
    pub slope_s: f64,
    /// Whether it was read in a sample cooled to 25 degC; else as the recipe reads it.
    pub at_25c: bool,
}

impl PhLine {
    /// Straight between two (s, pH).
    pub fn between(from: (f64, f64), to: (f64, f64), at_25c: bool) -> Self {
        let slope_s = if to.0 > from.0 { (to.1 - from.1) / (to.0 - from.0) } else { 0.0 };
        PhLine { since_s: from.0, from: from.1, slope_s, at_25c }
    }

    /// pH at a clock time, s.
    pub fn at(&self, time_s: f64) -> f64 {
        self.from + self.slope_s * (time_s - self.since_s)
    }

    /// Temperature at which it is read, K: that of a cooled sample, or of the bath.
    pub fn read_at_k(&self, tank: &Tank, bath_k: f64) -> f64 {
        let cooled = self.at_25c || tank.operation.set_points.ph_temperature_k == REFERENCE_TEMPERATURE_K;
        if cooled { REFERENCE_TEMPERATURE_K } else { bath_k }
    }
}
