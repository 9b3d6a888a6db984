//! Suppression: a trace that keeps a reaction down, and lets it loose when it runs out.

use super::conditions::{Concentration, Conditions};
use crate::scalar::Scalar;

/// exp(-(c - c_ref)/K): one at the reference concentration, e times as much for every K less.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | c, c_ref | suppressing substance, its reference | mol/L |
/// | K | fall in concentration that multiplies the value by e | mol/L |
///
/// Source: a form of our own for plate-out under a stabilizer; no published constant.
///
/// ```
/// use bathkin::surface::{Concentration, Conditions, Suppression};
/// let law = Suppression { of: Concentration::Total(0), constant_mol_l: 0.2, reference_mol_l: 1.0 };
/// let at = |c: f64| law.ln_factor(&Conditions {
///     temperature_k: 361.15, ph: 4.8, ionic_strength_mol_l: 0.9, totals_mol_l: &[c], dissolved_mol_l: &[],
/// });
/// assert_eq!(at(1.0), 0.0);
/// assert!((at(0.0) - 5.0).abs() < 1e-14);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suppression<D = f64> {
    /// c.
    pub of: Concentration,
    /// K, mol/L.
    pub constant_mol_l: D,
    /// c_ref, mol/L.
    pub reference_mol_l: f64,
}

impl<D> Suppression<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Suppression<E> {
        Suppression {
            of: self.of,
            constant_mol_l: of(&self.constant_mol_l),
            reference_mol_l: self.reference_mol_l,
        }
    }
}

impl<D: Scalar> Suppression<D> {
    /// ln of the factor.
    pub fn ln_factor(&self, at: &Conditions<D>) -> D {
        (-self.of.of(at) + self.reference_mol_l) / self.constant_mol_l
    }
}
