//! 4. Running it: volume, work, replenishers, policies, and the balance of everything.
//!
//! The state of a tank is a vector of amounts and volumes; its right-hand side comes from the surface,
//! and every element, the charge and the volume must balance at every stop.

pub mod accounts;
pub mod balances;
pub mod bath;
pub mod bulk;
pub mod cost;
pub mod drag_out;
pub mod event;
pub mod exchange;
pub mod feed;
mod flows;
mod held_orders;
pub mod layout;
pub mod level;
pub mod observe;
pub mod operation;
mod ph_line;
pub mod plant;
pub mod policy;
pub mod quantity;
pub mod racks;
pub mod readings;
mod reference_bath;
pub mod replenisher;
mod surface_states;
pub mod temperature;
pub mod work;

use crate::solution::Equilibrium;

pub use balances::Balances;
pub use bath::{BathChemistry, Forms, ResolvedReaction, Roles};
pub use bulk::BulkReaction;
pub use cost::{Cost, CostParts, CostPoint, PricedFeed, Waste};
pub use drag_out::{DragOut, Draining};
pub use event::{Dose, Event, When};
pub use exchange::Exchange;
pub use feed::{Feed, Occasion};
pub use held_orders::HeldOrder;
pub use layout::{Layout, Volume};
pub use level::{Level, LevelStatus};
pub use observe::BathState;
pub use operation::{Operation, SetPoints};
pub use ph_line::PhLine;
pub use plant::Plant;
pub use policy::{Analysis, Hours, MetalPolicy, PhPolicy, Policies, ReductantPolicy};
pub use quantity::Quantity;
pub use racks::{Move, RackTime, Racks};
pub use readings::{AlsoRead, Readings};
pub use reference_bath::{ReferenceBath, Relation};
pub use replenisher::{DoseUnit, METAL, PH, REDUCTANT, Replenisher};
pub use temperature::{Idle, Programme, Ramp, Step};
pub use work::{Load, Loads, Shifts, Work};

/// Water in a litre of pure water at 25 degC, mol/L: 997.05 g/L over 18.015 g/mol.
///
/// Water is counted as if dissolved salts took no volume. Its inventory only closes the balances
/// of hydrogen and oxygen; nothing else depends on it.
pub const WATER_MOL_L: f64 = 55.345;

/// A recipe resolved to indices: immutable, ready to evaluate, safe to share between threads.
///
/// Copies share what is large, so that many baths that differ a little cost little.
#[derive(Debug, Clone)]
pub struct Tank {
    /// What goes on in the liquid and at the surface.
    pub bath: BathChemistry,
    /// The vessel, and what passes between it and the air.
    pub plant: Plant,
    /// What is plated in it and what is done to it.
    pub operation: Operation,
}

impl Tank {
    /// The same tank, its liquid solved by another equilibrium.
    pub fn with_equilibrium(&self, equilibrium: Equilibrium) -> Self {
        let mut tank = self.clone();
        tank.bath.equilibrium = equilibrium.into();
        tank
    }

    /// True when nothing moves in the tank without work: no bleed, no air, no evaporation, no reaction
    /// of the liquid.
    pub fn rests_when_idle(&self) -> bool {
        let still = self.operation.bleed_l_h == 0.0 && self.plant.evaporation_l_h == 0.0;
        still && self.plant.exchanges.is_empty() && self.bath.bulk.is_empty()
    }

    /// What contents at this volume are at the working level, as a part of what they are.
    pub fn working_share(&self, volume_l: f64) -> f64 {
        self.plant.level.working_share(
            volume_l,
            self.plant.volume_l,
            self.operation.water_interval_s.is_some(),
        )
    }

    /// What a component is brought back to, mol/L; `None` for one that nothing holds.
    pub fn content_set_point(&self, slot: usize) -> Option<f64> {
        let held = || {
            self.operation.occasions().find_map(|(_, occasion)| match occasion {
                Occasion::Hold { slot: held, set_point_mol_l } if held == slot => Some(set_point_mol_l),
                _ => None,
            })
        };
        let own = [
            (self.bath.roles.metal, self.operation.set_points.metal_mol_l),
            (self.bath.roles.reductant, self.operation.set_points.reductant_mol_l),
        ];
        let found = own.into_iter().find(|(known, _)| *known == slot).map(|(_, set_point)| set_point);
        found.or_else(held).filter(|set_point| *set_point > 0.0)
    }
}
