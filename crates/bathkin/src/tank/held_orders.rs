//! Negative orders that a bath reads at the lower end of their range.

use serde::Serialize;

use super::{BathState, Tank};
use crate::surface::{Concentration, Conditions, RateLaw};

/// A negative order below its range: the law is read where the range ends ([`crate::surface::Order`]).
#[derive(Debug, Clone, PartialEq, schemars::JsonSchema, Serialize)]
pub struct HeldOrder {
    /// The half-reaction or the reaction of the liquid whose law it is.
    pub reaction: String,
    /// What it follows.
    pub substance: String,
    /// How much of it there is, mol/L.
    pub mol_l: f64,
    /// How much the law reads, mol/L.
    pub held_at_mol_l: f64,
}

impl BathState {
    /// The negative orders that are read at the lower end of their range.
    pub fn held_orders(&self, tank: &Tank) -> Vec<HeldOrder> {
        let (bath, surface) = (self.conditions(), self.conditions_at_surface());
        let reactions = tank.bath.kinetics.half_reactions().iter().enumerate();
        let of_surface = reactions.filter_map(|(at, reaction)| {
            Some((reaction.name.as_str(), tank.bath.kinetics.law_of(at)?, &surface))
        });
        let of_liquid = tank.bath.bulk.iter().map(|reaction| (reaction.name.as_str(), &reaction.law, &bath));
        let held = |(reaction, law, at): (&str, &RateLaw, &Conditions)| {
            let named = |(of, held): (Concentration, f64)| HeldOrder {
                reaction: reaction.to_owned(),
                substance: of.name(&tank.bath.equilibrium).to_owned(),
                mol_l: of.of(at),
                held_at_mol_l: held,
            };
            law.held_orders(at).map(named).collect::<Vec<_>>()
        };
        of_surface.chain(of_liquid).flat_map(held).collect()
    }
}
