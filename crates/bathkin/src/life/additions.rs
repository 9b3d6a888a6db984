//! What the operator does at a stop: doses, corrections, racks lifted out.

use super::ledger::Ledger;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::solution::Speciation;
use crate::solution::ph::{Adjustment, adjust_ph};
use crate::tank::{Balances, METAL, PH, PhPolicy, REDUCTANT, ReductantPolicy, WATER_MOL_L};

/// The operator of a tank: changes its state at stops and keeps the ledger.
pub struct Operator<'a> {
    balances: &'a Balances<'a>,
    reading: Speciation,
    /// Every addition so far.
    pub ledger: Ledger,
}

impl<'a> Operator<'a> {
    /// An operator with an empty ledger.
    pub fn new(balances: &'a Balances<'a>) -> Self {
        let reading = balances.tank().equilibrium.speciation();
        Operator { balances, reading, ledger: Ledger::default() }
    }

    /// Brings metal and reductant back, and the pH with them when the policy says so.
    ///
    /// # Errors
    /// As [`Operator::correct_ph`].
    pub fn add_metal(&mut self, time_s: f64, state: &mut [f64], reason: &str) -> Result<()> {
        let tank = self.balances.tank();
        let roles = tank.roles;
        let target = tank.set_points.metal_mol_l * tank.volume_l;
        let missing = (target - self.amount(state, roles.metal)).max(0.0);
        let volume = tank.replenishers[METAL].volume_for(roles.metal, missing);
        self.add(time_s, state, METAL, volume, reason);

        let reductant = match tank.policies.reductant {
            ReductantPolicy::Restore => {
                tank.set_points.reductant_mol_l * tank.volume_l - self.amount(state, roles.reductant)
            }
            ReductantPolicy::Ratio { per_metal_mol } => per_metal_mol * missing,
        };
        let volume = tank.replenishers[REDUCTANT].volume_for(roles.reductant, reductant.max(0.0));
        self.add(time_s, state, REDUCTANT, volume, reason);

        if matches!(tank.policies.ph, PhPolicy::DeadBand { with_additions: true, .. }) {
            self.correct_ph(time_s, state, "with the metal")?;
        }
        Ok(())
    }

    /// Brings the pH back to its set-point with the corrector; a pH above it is left alone.
    ///
    /// # Errors
    /// [`Error::Simulation`] when the corrector cannot, [`Error::Convergence`] from the
    /// equilibrium.
    pub fn correct_ph(&mut self, time_s: f64, state: &mut [f64], reason: &str) -> Result<()> {
        let tank = self.balances.tank();
        let corrector = &tank.replenishers[PH];
        let mut totals: Vec<f64> =
            (0..tank.components()).map(|slot| self.amount(state, slot) / tank.volume_l).collect();
        let adjustment = adjust_ph(
            &tank.equilibrium,
            &mut self.reading,
            &mut totals,
            &corrector.per_litre[..tank.components()],
            tank.set_points.ph_temperature_k,
            tank.set_points.ph,
        )?;
        match adjustment {
            Adjustment::Amount(litres_per_litre) => {
                self.add(time_s, state, PH, litres_per_litre * tank.volume_l, reason);
                Ok(())
            }
            Adjustment::AlreadyPast(_) => Ok(()),
            Adjustment::OutOfReach(reached) => Err(Error::Simulation {
                time_h: time_s / SECONDS_PER_HOUR,
                reason: format!(
                    "{} cannot bring the bath back to its pH; it stays at {reached:.2}",
                    corrector.name
                ),
            }),
        }
    }

    /// Lifts racks out: what clings to `area_m2` goes with them, and water makes the level good.
    pub fn lift_out(&mut self, state: &mut [f64], area_m2: f64) {
        let (tank, layout) = (self.balances.tank(), self.balances.layout());
        state[layout.area()] += area_m2 / layout.scale()[layout.area()];
        let volume = tank.drag_out_l_m2 * area_m2;
        for (slot, gone) in layout.liquid().zip(layout.gone()) {
            // Both slots have the same scale.
            let carried = state[slot] * volume / tank.volume_l;
            state[slot] -= carried;
            state[gone] += carried;
        }
        state[layout.volume_gone()] += volume / layout.scale()[layout.volume_gone()];
        state[tank.water()] += volume * WATER_MOL_L / layout.scale()[tank.water()];
    }

    fn amount(&self, state: &[f64], slot: usize) -> f64 {
        state[slot] * self.balances.layout().scale()[slot]
    }

    fn add(&mut self, time_s: f64, state: &mut [f64], which: usize, volume_l: f64, reason: &str) {
        let (tank, layout) = (self.balances.tank(), self.balances.layout());
        let replenisher = &tank.replenishers[which];
        for (slot, moles) in replenisher.per_litre.iter().enumerate() {
            state[slot] += volume_l * moles / layout.scale()[slot];
        }
        // The level is held: the litre added is a litre of water evaporated, or not made good.
        state[tank.water()] -= volume_l * WATER_MOL_L / layout.scale()[tank.water()];
        let fed = layout.fed().start + which;
        state[fed] += volume_l / layout.scale()[fed];
        self.ledger.write(time_s / SECONDS_PER_HOUR, &replenisher.name, volume_l, reason);
    }
}
