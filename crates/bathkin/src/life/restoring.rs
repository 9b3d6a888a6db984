//! Metal and reductant brought back, with all that goes in with them.

use super::additions::Operator;
use super::laboratory::Found;
use super::rounding::Size;
use crate::error::Result;
use crate::tank::{METAL, MetalPolicy, Occasion, REDUCTANT, ReductantPolicy};

impl Operator<'_> {
    /// Brings metal and reductant back with all that goes in with them, and the pH when the policy says so.
    /// What they lack is what an analysis found, or else what the bath holds.
    ///
    /// # Errors
    /// As [`Operator::correct_ph`].
    pub fn add_metal(
        &mut self,
        time_s: f64,
        state: &mut [f64],
        found: Option<Found>,
        reason: &str,
    ) -> Result<()> {
        let policies = self.balances.tank().operation.policies;
        // Only a threshold would call again at once.
        let called = matches!(policies.metal, MetalPolicy::Threshold { .. });
        let size = if called { Size::Called } else { Size::Lacking };
        self.restore_metal(time_s, state, found, size, reason)?;
        if policies.ph.with_additions() {
            self.correct_ph(time_s, state, Size::Lacking, "with the metal")?;
        }
        Ok(())
    }

    /// Brings metal and reductant back with all that goes in with them.
    pub(super) fn restore_metal(
        &mut self,
        time_s: f64,
        state: &mut [f64],
        found: Option<Found>,
        size: Size,
        reason: &str,
    ) -> Result<()> {
        let tank = self.balances.tank();
        let (roles, set_points) = (tank.bath.roles, tank.operation.set_points);
        let sized = |by_hand| if size == Size::Pumped { Size::Pumped } else { by_hand };
        let content = found.map_or(self.content_mol_l(state, roles.metal), |found| found.metal_mol_l);
        let volume = self.volume_to_restore(state, METAL, roles.metal, content, set_points.metal_mol_l);
        let poured = self.add(time_s, state, METAL, volume, size, reason)?;
        let brought = poured * tank.operation.replenishers[METAL].per_litre[roles.metal];

        let (volume, size) = match tank.operation.policies.reductant {
            ReductantPolicy::Restore => {
                let content = self.content_mol_l(state, roles.reductant);
                let content = found.map_or(content, |found| found.reductant_mol_l);
                let to = set_points.reductant_mol_l;
                (self.volume_to_restore(state, REDUCTANT, roles.reductant, content, to), sized(Size::Lacking))
            }
            ReductantPolicy::Ratio { per_metal_mol } => {
                let moles = per_metal_mol * brought;
                (
                    tank.operation.replenishers[REDUCTANT].volume_for(roles.reductant, moles),
                    sized(Size::Counted),
                )
            }
        };
        self.add(time_s, state, REDUCTANT, volume, size, reason)?;

        for (solution, occasion) in tank.operation.occasions() {
            match occasion {
                Occasion::WithMetal { per_litre } => {
                    let volume = per_litre * poured;
                    self.add(time_s, state, solution, volume, sized(Size::Counted), "with the metal")?;
                }
                Occasion::Hold { slot, set_point_mol_l } => {
                    let content = self.content_mol_l(state, slot);
                    let volume = self.volume_to_restore(state, solution, slot, content, set_point_mol_l);
                    self.add(time_s, state, solution, volume, sized(Size::Lacking), "with the metal")?;
                }
                _ => {}
            }
        }
        Ok(())
    }
}
