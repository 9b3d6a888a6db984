//! The factors of a law: their forms, what each is called, and what it follows.

use super::accelerator::Accelerator;
use super::adsorption::Adsorption;
use super::arrhenius::Arrhenius;
use super::conditions::{Concentration, Conditions};
use super::inhibition::Inhibition;
use super::ionic_strength::IonicStrength;
use super::order::Order;
use super::ph_order::PhOrder;
use super::saturation::Saturation;
use super::stabilizer::Stabilizer;
use super::suppression::Suppression;
use crate::scalar::Scalar;

/// One factor of a law. Each form has its own file with equation, symbols, range and source.
#[derive(Debug, Clone, PartialEq)]
pub enum Factor<D = f64> {
    /// Temperature.
    Arrhenius(Arrhenius<D>),
    /// A concentration.
    Order(Order<D>),
    /// A concentration that fills the surface.
    Saturation(Saturation<D>),
    /// The pH.
    PhOrder(PhOrder<D>),
    /// A by-product.
    Inhibition(Inhibition<D>),
    /// Salt of all kinds.
    IonicStrength(IonicStrength<D>),
    /// A stabilizer.
    Stabilizer(Stabilizer<D>),
    /// An accelerator.
    Accelerator(Accelerator<D>),
    /// A trace that keeps the reaction down.
    Suppression(Suppression<D>),
    /// Substances that share the sites of the surface.
    Adsorption(Adsorption<D>),
}

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
    /// An adsorbate of [`super::Adsorption`].
    Adsorption,
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
    pub fn follows(&self, at: &Conditions) -> f64 {
        match (self.of, self.kind) {
            (Some(of), _) => of.of(at),
            (None, FactorKind::Temperature) => at.temperature_k,
            (None, FactorKind::Ph) => at.ph,
            (None, _) => at.ionic_strength_mol_l,
        }
    }
}

impl<D> Factor<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Factor<E> {
        match self {
            Factor::Arrhenius(law) => Factor::Arrhenius(law.map(of)),
            Factor::Order(law) => Factor::Order(law.map(of)),
            Factor::Saturation(law) => Factor::Saturation(law.map(of)),
            Factor::PhOrder(law) => Factor::PhOrder(law.map(of)),
            Factor::Inhibition(law) => Factor::Inhibition(law.map(of)),
            Factor::IonicStrength(law) => Factor::IonicStrength(law.map(of)),
            Factor::Stabilizer(law) => Factor::Stabilizer(law.map(of)),
            Factor::Accelerator(law) => Factor::Accelerator(law.map(of)),
            Factor::Suppression(law) => Factor::Suppression(law.map(of)),
            Factor::Adsorption(law) => Factor::Adsorption(law.map(of)),
        }
    }
}

impl<D: Scalar> Factor<D> {
    /// ln of the factor, `None` where it is zero.
    pub fn ln(&self, at: &Conditions<D>) -> Option<D> {
        match self {
            Factor::Arrhenius(law) => Some(law.ln_factor(at.temperature_k)),
            Factor::PhOrder(law) => Some(law.ln_factor(at.ph)),
            Factor::Inhibition(law) => Some(law.ln_factor(at)),
            Factor::Order(law) => law.ln_factor(at),
            Factor::Saturation(law) => law.ln_factor(at),
            Factor::IonicStrength(law) => Some(law.ln_factor(at)),
            Factor::Stabilizer(law) => law.ln_factor(at),
            Factor::Accelerator(law) => Some(law.ln_factor(at)),
            Factor::Suppression(law) => Some(law.ln_factor(at)),
            Factor::Adsorption(law) => Some(law.ln_factor(at)),
        }
    }

    /// The concentrations it follows.
    pub fn concentrations(&self) -> impl Iterator<Item = Concentration> + '_ {
        let (one, sharing) = match self {
            Factor::Arrhenius(_) | Factor::PhOrder(_) | Factor::IonicStrength(_) => (None, [].as_slice()),
            Factor::Order(law) => (Some(law.of), [].as_slice()),
            Factor::Saturation(law) => (Some(law.of), [].as_slice()),
            Factor::Inhibition(law) => (Some(law.of), [].as_slice()),
            Factor::Stabilizer(law) => (Some(law.of), [].as_slice()),
            Factor::Accelerator(law) => (Some(law.of), [].as_slice()),
            Factor::Suppression(law) => (Some(law.of), [].as_slice()),
            Factor::Adsorption(law) => (None, law.adsorbates.as_slice()),
        };
        one.into_iter().chain(sharing.iter().map(|adsorbate| adsorbate.of))
    }

    /// Its names: one, or one for each adsorbate.
    pub fn names(&self) -> Vec<FactorName> {
        let kind = self.kind();
        let names: Vec<FactorName> =
            self.concentrations().map(|of| FactorName { kind, of: Some(of) }).collect();
        if names.is_empty() { vec![FactorName { kind, of: None }] } else { names }
    }

    fn kind(&self) -> FactorKind {
        match self {
            Factor::Arrhenius(_) => FactorKind::Temperature,
            Factor::PhOrder(_) => FactorKind::Ph,
            Factor::IonicStrength(_) => FactorKind::IonicStrength,
            Factor::Order(_) => FactorKind::Order,
            Factor::Saturation(_) => FactorKind::Saturation,
            Factor::Inhibition(_) => FactorKind::Inhibition,
            Factor::Stabilizer(_) => FactorKind::Stabilizer,
            Factor::Accelerator(_) => FactorKind::Accelerator,
            Factor::Suppression(_) => FactorKind::Suppression,
            Factor::Adsorption(_) => FactorKind::Adsorption,
        }
    }
}

impl Factor {
    /// Its names with their values, which multiply to the factor.
    pub fn named_values(&self, at: &Conditions) -> Vec<(FactorName, f64)> {
        let ln: Vec<Option<f64>> = match self {
            Factor::Adsorption(law) => law.ln_parts(at).map(|(_, ln)| Some(ln)).collect(),
            one => vec![one.ln(at)],
        };
        self.names().into_iter().zip(ln.into_iter().map(|ln| ln.map_or(0.0, f64::exp))).collect()
    }
}
