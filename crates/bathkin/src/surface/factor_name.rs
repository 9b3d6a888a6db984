//! What a factor of a law is called, and what it follows.

use super::conditions::{Concentration, Conditions};
use super::rate_law::Factor;
use crate::scalar::Scalar;

/// The kind of a factor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FactorKind {
    /// [`super::Arrhenius`].
    Temperature,
    /// [`super::PhOrder`].
    Ph,
    /// [`super::Order`].
    Order,
    /// [`super::Saturation`].
    Saturation,
    /// [`super::Inhibition`].
    Inhibition,
    /// [`super::IonicStrength`].
    IonicStrength,
    /// [`super::Stabilizer`].
    Stabilizer,
    /// [`super::Accelerator`].
    Accelerator,
    /// [`super::Suppression`].
    Suppression,
}

/// A kind, and the concentration it follows when it follows one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FactorName {
    /// Kind.
    pub kind: FactorKind,
    /// Concentration.
    pub of: Option<Concentration>,
}

impl FactorName {
    /// What the factor follows, in its unit: K, pH, or mol/L.
    pub fn follows<D: Scalar>(&self, at: &Conditions<D>) -> D {
        match (self.of, self.kind) {
            (Some(of), _) => of.of(at),
            (None, FactorKind::Temperature) => at.temperature_k,
            (None, FactorKind::Ph) => at.ph,
            (None, _) => at.ionic_strength_mol_l,
        }
    }
}

impl<D: Scalar> Factor<D> {
    /// Its name.
    pub fn name(&self) -> FactorName {
        let (kind, of) = match self {
            Factor::Arrhenius(_) => (FactorKind::Temperature, None),
            Factor::PhOrder(_) => (FactorKind::Ph, None),
            Factor::IonicStrength(_) => (FactorKind::IonicStrength, None),
            Factor::Order(law) => (FactorKind::Order, Some(law.of)),
            Factor::Saturation(law) => (FactorKind::Saturation, Some(law.of)),
            Factor::Inhibition(law) => (FactorKind::Inhibition, Some(law.of)),
            Factor::Stabilizer(law) => (FactorKind::Stabilizer, Some(law.of)),
            Factor::Accelerator(law) => (FactorKind::Accelerator, Some(law.of)),
            Factor::Suppression(law) => (FactorKind::Suppression, Some(law.of)),
        };
        FactorName { kind, of }
    }
}
