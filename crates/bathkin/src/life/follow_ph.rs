//! A measured pH that is followed: what it takes to stand on its course at a stop.

use super::additions::Operator;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::solution::ph::settle_ph;
use crate::tank::{PH, PhLine};

impl Operator<'_> {
    /// Brings the bath to where the measured pH stands at a time, less what the electrode reads above it: with the corrector, or
    /// by taking out what it would bring, which stands for as much acid. What is poured takes room.
    ///
    /// # Errors
    /// [`Error::Simulation`] where the corrector cannot; [`Error::Convergence`] from the equilibrium.
    pub fn follow_ph(&mut self, time_s: f64, state: &mut [f64], line: &PhLine) -> Result<()> {
        let tank = self.balances.tank();
        let target = line.at(time_s) - tank.operation.electrode_ph;
        let read_at_k = line.read_at_k(tank, self.balances.temperature_k());
        let (mut totals, gives) = self.totals_and_gives(state);
        let equilibrium = tank.bath.equilibrium.solved_exactly();
        let settled = settle_ph(&equilibrium, &mut self.reading, &mut totals, &gives, read_at_k, target)?;
        let Some(part) = settled else {
            return Err(Error::Simulation {
                time_h: time_s / SECONDS_PER_HOUR,
                reason: format!(
                    "{} cannot bring the bath to the measured pH of {target:.2}",
                    tank.operation.replenishers[PH].name
                ),
            });
        };
        let volume_l = self.volume_of_part(self.balances.volume_l(state), part);
        self.pour(state, PH, volume_l);
        Ok(())
    }
}
