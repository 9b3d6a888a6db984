//! Accelerator: something that helps the reaction along until the surface has enough of it.

use super::conditions::{Concentration, Conditions};
use crate::scalar::Scalar;

/// (1 + a c/(K + c)) / (1 + a c_ref/(K + c_ref)): one at the reference concentration.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | c, c_ref | accelerator, its reference (zero for none) | mol/L |
/// | a | gain when there is plenty | 1 |
/// | K | concentration at which half the gain is reached | mol/L |
///
/// Source: a form; common practice is succinate or fluoride in acid nickel, no published constant.
/// Regular at c = 0.
///
/// ```
/// use bathkin::surface::{Accelerator, Concentration, Conditions};
/// let law = Accelerator { of: Concentration::Total(0), gain: 0.3, constant_mol_l: 0.02, reference_mol_l: 0.0 };
/// let at = |c: f64| law.ln_factor(&Conditions {
///     temperature_k: 361.15, ph: 4.8, ionic_strength_mol_l: 0.9, totals_mol_l: &[c], dissolved_mol_l: &[],
/// }).exp();
/// assert_eq!(at(0.0), 1.0);
/// assert!((at(0.02) - 1.15).abs() < 1e-14);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accelerator<D = f64> {
    /// c.
    pub of: Concentration,
    /// a.
    pub gain: D,
    /// K, mol/L.
    pub constant_mol_l: D,
    /// c_ref, mol/L.
    pub reference_mol_l: f64,
}

impl<D> Accelerator<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Accelerator<E> {
        Accelerator {
            of: self.of,
            gain: of(&self.gain),
            constant_mol_l: of(&self.constant_mol_l),
            reference_mol_l: self.reference_mol_l,
        }
    }
}

impl<D: Scalar> Accelerator<D> {
    /// ln of the factor.
    pub fn ln_factor(&self, at: &Conditions<D>) -> D {
        let ln_g = |c: D| (self.gain * c / (self.constant_mol_l + c) + 1.0).ln();
        ln_g(self.of.of(at)) - ln_g(D::from(self.reference_mol_l))
    }
}
