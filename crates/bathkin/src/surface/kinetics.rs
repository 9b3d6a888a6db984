//! All half-reactions of a surface together.

use super::conditions::Conditions;
use super::half_reaction::HalfReaction;
use super::rate_law::RateLaw;
use crate::scalar::Scalar;

/// What sets the rate of a half-reaction.
#[derive(Debug, Clone, PartialEq)]
pub enum Drive<D: Scalar = f64> {
    /// A rate law, mol/(m² s). Exactly one half-reaction has it: the metal.
    Law(RateLaw<D>),
    /// A selectivity: moles per mole of metal deposited.
    PerMetal(RateLaw<D>),
    /// Whatever closes the electron balance. Exactly one: the oxidation of the reductant.
    Closure,
}

/// The half-reactions of one bath and what drives each.
#[derive(Debug, Clone, PartialEq)]
pub struct Kinetics<D: Scalar = f64> {
    half_reactions: Vec<HalfReaction>,
    drives: Vec<Drive<D>>,
    metal: usize,
    closure: usize,
}

impl<D: Scalar> Kinetics<D> {
    /// Puts half-reactions and drives together.
    ///
    /// # Errors
    /// A sentence when there is not exactly one law and one closure, or the closing half-reaction
    /// gives no electrons.
    pub fn new(half_reactions: Vec<HalfReaction>, drives: Vec<Drive<D>>) -> Result<Self, String> {
        let only = |wanted: fn(&Drive<D>) -> bool, what: &str| {
            let mut found = (0..drives.len()).filter(|index| wanted(&drives[*index]));
            match (found.next(), found.next()) {
                (Some(index), None) => Ok(index),
                (None, _) => Err(format!("no half-reaction {what}")),
                (Some(a), Some(b)) => Err(format!(
                    "both {} and {} {what}; exactly one may",
                    half_reactions[a].name, half_reactions[b].name
                )),
            }
        };
        let metal = only(|drive| matches!(drive, Drive::Law(_)), "follows a rate law")?;
        let closure = only(|drive| matches!(drive, Drive::Closure), "closes the electron balance")?;
        if half_reactions[closure].electrons <= 0.0 {
            return Err(format!(
                "{} closes the electron balance but gives no electrons",
                half_reactions[closure].name
            ));
        }
        Ok(Kinetics { half_reactions, drives, metal, closure })
    }

    /// The half-reactions.
    pub fn half_reactions(&self) -> &[HalfReaction] {
        &self.half_reactions
    }

    /// True when a law follows the proton or a formed species, beyond the free components.
    pub fn follow_species(&self, components: usize) -> bool {
        let of_drive = |drive: &Drive<D>| match drive {
            Drive::Law(law) | Drive::PerMetal(law) => law.follows_species(components),
            Drive::Closure => false,
        };
        self.drives.iter().any(of_drive)
    }

    /// Index of the half-reaction that deposits the metal.
    pub fn metal(&self) -> usize {
        self.metal
    }

    /// Rates of all half-reactions, mol/(m² s), into `rates`.
    ///
    /// The closing one runs at r = -(sum of the others' e_j r_j)/e: no electron is left over.
    pub fn rates(&self, at: &Conditions<D>, rates: &mut [D]) {
        let Drive::Law(law) = &self.drives[self.metal] else { return };
        let metal = law.value(at);
        let mut electrons = D::from(0.0);
        for (index, drive) in self.drives.iter().enumerate() {
            rates[index] = match drive {
                Drive::Law(_) => metal,
                Drive::PerMetal(selectivity) => metal * selectivity.value(at),
                Drive::Closure => continue,
            };
            electrons += rates[index] * self.half_reactions[index].electrons;
        }
        rates[self.closure] = -electrons / self.half_reactions[self.closure].electrons;
    }
}
