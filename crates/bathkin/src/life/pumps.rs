//! What pumps do at a stop: bring back what they hold.

use super::additions::Operator;
use super::rounding::Size;
use crate::error::Result;
use crate::tank::{Level, MetalPolicy, PhPolicy};

/// Why a pump brought something: what it feeds is written down as one.
const PUMPED: &str = "pumped";

impl Operator<'_> {
    /// Pumps that hold metal or pH bring it back after a step that no flow can answer: a dose by hand, a rack, a
    /// filling up, an event. The metal first, since it moves the pH.
    ///
    /// # Errors
    /// As [`Operator::correct_ph`].
    pub(super) fn pumps_hold(&mut self, time_s: f64, state: &mut [f64]) -> Result<()> {
        const PASSES: usize = 20;
        const SETTLED: f64 = 1e-12;
        let tank = self.balances.tank();
        // One solution thins what another brought: each pass leaves a small part of what was missing.
        for _ in 0..PASSES {
            let before = self.fed_l(state);
            if tank.operation.policies.metal == MetalPolicy::Continuous {
                self.restore_metal(time_s, state, None, Size::Pumped, PUMPED)?;
            }
            if tank.operation.policies.ph == PhPolicy::Continuous {
                self.correct_ph(time_s, state, Size::Pumped, PUMPED)?;
            }
            let poured_l: f64 =
                self.fed_l(state).iter().zip(&before).map(|(after, before)| after - before).sum();
            // At a ratio the reductant is counted by what of the metal was brought: a second pass brings no more.
            if tank.plant.level == Level::Held || poured_l <= SETTLED * tank.plant.volume_l {
                break;
            }
        }
        Ok(())
    }
}
