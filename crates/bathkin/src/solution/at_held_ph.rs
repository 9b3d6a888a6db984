//! Derivatives of a solution whose pH is held by an acid or base.
//!
//! The totals are T + a g, and the amount a is one more unknown with one more equation, pH(T + a g, p) = pH_held. The
//! bordered system is solved by elimination: along a direction of p
//!
//! da = (dpH_held - dpH)/(dpH/da),
//!
//! and every answer moves by its own slope and da times that by the reagent.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | g | moles of each component that a mole of the reagent gives | 1 |
//! | a | amount of the reagent | mol/L |
//! | dpH | slope of the pH along the direction at a constant amount | per unit of the direction |
//!
//! Valid where the solution is solved for T + a g. Source: implicit function theorem.

use super::equilibrium::Equilibrium;
use super::sensitivities::{Parameter, Sensitivities};
use super::workspace::Speciation;
use crate::error::Result;

/// A direction in which a solution moves whose pH is held.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeldDirection {
    /// Parameters that move, each with its speed.
    pub parameters: Vec<(Parameter, f64)>,
    /// Speed of the pH at which it is held.
    pub ph: f64,
}

/// What a reagent gives, as a direction.
pub fn by_reagent(gives: &[f64]) -> impl Iterator<Item = (Parameter, f64)> {
    let brought = gives.iter().enumerate().filter(|(_, moles)| **moles != 0.0);
    brought.map(|(position, moles)| (Parameter::Total(position), *moles))
}

impl Speciation {
    /// Derivatives along each direction, with those of the amount of the reagent that holds the pH, mol/L. `gives`
    /// holds the moles of each component per mole of it.
    ///
    /// # Errors
    /// As [`Speciation::sensitivities`].
    pub fn sensitivities_at_held_ph(
        &mut self,
        chemistry: &Equilibrium,
        directions: &[HeldDirection],
        gives: &[f64],
    ) -> Result<Vec<(f64, Sensitivities)>> {
        self.factor_exactly(chemistry)?;
        let reagent: Vec<(Parameter, f64)> = by_reagent(gives).collect();
        let per_mole = self.along(chemistry, &reagent);
        let held = |direction: &HeldDirection| {
            let free = self.along(chemistry, &direction.parameters);
            let amount = (direction.ph - free.ph) / per_mole.ph;
            (amount, free.plus(amount, &per_mole))
        };
        Ok(directions.iter().map(held).collect())
    }
}
