//! Reactions in the liquid itself: they need no surface and run whether or not work is in the tank.
//!
//! dn_j/dt = V sum_k nu_jk v_k
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | n_j | amount of component j in the tank | mol |
//! | V | volume of the bath | L |
//! | nu_jk | moles of j made per mole of reaction k (negative when used) | 1 |
//! | v_k | extent of reaction k per volume and time, a [`RateLaw`] | mol/(L s) |
//!
//! Cannizzaro's disproportionation of formaldehyde is one: 2 CH2(OH)2 + OH- -> HCO2- + CH3OH + 2 H2O.
//! A third-order loss `-d[A]/dt = k3 [A]² [B]` that uses two A per reaction has `v = k3/2 [A]² [B]`.
//!
//! Source: mass action, textbook form. The whole volume is taken as mixed and at the temperature of
//! the bath. Atoms of `gas` leave, atoms of `solid` fall out as a powder that plates nothing.

use super::Tank;
use super::observe::BathState;
use crate::surface::RateLaw;

/// A reaction in the liquid, resolved to slots of the tank.
#[derive(Debug, Clone, PartialEq)]
pub struct BulkReaction<D = f64> {
    /// Name, as used in recipes.
    pub name: String,
    /// (slot of the liquid, moles made).
    pub liquid: Vec<(usize, f64)>,
    /// (index among [`super::BathChemistry::evolved`], atoms leaving as gas).
    pub gas: Vec<(usize, f64)>,
    /// (index among [`super::BathChemistry::settled`], atoms falling out).
    pub solid: Vec<(usize, f64)>,
    /// Its rate, mol/(L s).
    pub law: RateLaw<D>,
}

impl<D> BulkReaction<D> {
    /// The same with each number of its law turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> BulkReaction<E> {
        BulkReaction {
            name: self.name.clone(),
            liquid: self.liquid.clone(),
            gas: self.gas.clone(),
            solid: self.solid.clone(),
            law: self.law.map(of),
        }
    }
}

impl BathState {
    /// Moles of a slot of the liquid made per litre and second by all bulk reactions together.
    pub fn made_mol_l_s(&self, tank: &Tank, slot: usize) -> f64 {
        tank.bath
            .bulk
            .iter()
            .zip(&self.bulk_mol_l_s)
            .flat_map(|(reaction, rate)| {
                reaction.liquid.iter().filter(|(at, _)| *at == slot).map(move |(_, moles)| moles * rate)
            })
            .sum()
    }
}
