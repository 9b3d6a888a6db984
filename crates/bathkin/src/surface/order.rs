//! Concentration: a power order about a reference concentration.

use super::conditions::{Concentration, Conditions};
use crate::scalar::Scalar;

/// (c/c_ref)^n: one at the reference concentration; a negative order reads max(c, c_min) for c.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | c, c_ref | concentration, reference concentration | mol/L |
/// | n | apparent order, independent of the stoichiometry | 1 |
/// | c_min | lower end of the range the order was found in; unstated: c_ref/1000 | mol/L |
///
/// Valid over the range the order was found in. At c = 0 a positive order gives a rate of zero. A negative
/// one would give a rate without end: below c_min it stays at its value there, and [`Order::held`] says so.
/// The thousandth is invented: a power law seen over a decade or two says nothing three decades below.
///
/// ```
/// use bathkin::surface::{Concentration, Conditions, Order};
/// let at = |c: &[f64]| {
///     let order =
///         Order { of: Concentration::Total(0), order: -0.3, reference_mol_l: 1e-3, valid_from_mol_l: Some(1e-4) };
///     let conditions = Conditions {
///         temperature_k: 361.15, ph: 4.8, ionic_strength_mol_l: 0.9, totals_mol_l: c, dissolved_mol_l: &[],
///     };
///     order.ln_factor(&conditions).map(f64::exp)
/// };
/// assert_eq!(at(&[1e-4]), at(&[0.0]));
/// assert!(at(&[2e-4]) < at(&[1e-4]));
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Order<D = f64> {
    /// c.
    pub of: Concentration,
    /// n.
    pub order: D,
    /// c_ref, mol/L.
    pub reference_mol_l: D,
    /// c_min, mol/L, where a range is stated.
    pub valid_from_mol_l: Option<f64>,
}

impl<D> Order<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Order<E> {
        Order {
            of: self.of,
            order: of(&self.order),
            reference_mol_l: of(&self.reference_mol_l),
            valid_from_mol_l: self.valid_from_mol_l,
        }
    }
}

impl<D: Scalar> Order<D> {
    /// ln of the factor, or `None` when the concentration is used up and the rate is zero.
    pub fn ln_factor(&self, at: &Conditions<D>) -> Option<D> {
        let c = self.held(at).unwrap_or_else(|| self.of.of(at));
        let ratio = c / self.reference_mol_l;
        if ratio > 0.0 {
            Some(self.order * ratio.ln())
        } else if self.order > 0.0 {
            None
        } else {
            Some(D::from(0.0))
        }
    }

    /// c_min, mol/L, where a negative order is read there in place of a concentration below it.
    pub fn held(&self, at: &Conditions<D>) -> Option<D> {
        const UNSTATED: f64 = 1e-3;
        let least = self.valid_from_mol_l.map_or(self.reference_mol_l * UNSTATED, D::from);
        (self.order < 0.0 && self.of.of(at) < least).then_some(least)
    }
}
