//! A half-reaction: what it takes from the liquid, what it leaves, and its electrons.

use crate::solution::chemistry::{Chemistry, differences};
use crate::solution::formula::{Elements, add};

/// One half-reaction per mole of extent.
///
/// `liquid` counts components of the bath (negative when used), `deposit` atoms built into the
/// metal, `gas` atoms leaving as gas; `electrons` is positive when given to the surface.
#[derive(Debug, Clone, PartialEq)]
pub struct HalfReaction {
    /// Name, as used in recipes.
    pub name: String,
    /// (component index in the chemistry, moles made).
    pub liquid: Vec<(usize, f64)>,
    /// Atoms deposited.
    pub deposit: Elements,
    /// Atoms leaving as gas.
    pub gas: Elements,
    /// Electrons given to the surface.
    pub electrons: f64,
}

impl HalfReaction {
    /// Says what does not balance: an element, or the charge.
    ///
    /// # Errors
    /// A sentence naming the element and both sides.
    pub fn check_balance(&self, chemistry: &Chemistry) -> Result<(), String> {
        let (mut made, charge) = chemistry.sum(&self.liquid);
        add(&mut made, &self.deposit, 1.0);
        add(&mut made, &self.gas, 1.0);
        differences(&made, &Elements::new(), charge - self.electrons, 0.0)
            .map_or(Ok(()), |what| Err(format!("half-reaction {}: {what}", self.name)))
    }
}
