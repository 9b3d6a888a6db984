//! Saturation: a reaction that needs more and more of something until the surface is full of it.

use super::conditions::{Concentration, Conditions};
use crate::scalar::Scalar;

/// (c/(K + c)) / (c_ref/(K + c_ref)): one at the reference concentration; with c_ref infinite the bare
/// c/(K + c), which tends to one.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | c, c_ref | concentration, reference concentration | mol/L |
/// | K | concentration at which the surface is half full | mol/L |
///
/// First order far below K, zero order far above. Source: Langmuir's isotherm of one adsorbed
/// substance. Regular at c = 0, where the rate is zero.
///
/// ```
/// use bathkin::surface::{Concentration, Conditions, Saturation};
/// let law = Saturation { of: Concentration::Total(0), constant_mol_l: 0.002, reference_mol_l: f64::INFINITY };
/// let at = |c: f64| {
///     law.ln_factor(&Conditions {
///         temperature_k: 298.15, ph: 12.5, ionic_strength_mol_l: 0.7,
///         totals_mol_l: &[c], dissolved_mol_l: &[],
///     })
/// };
/// assert!((at(0.002).unwrap().exp() - 0.5).abs() < 1e-14);
/// assert_eq!(at(0.0), None);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saturation<D = f64> {
    /// c.
    pub of: Concentration,
    /// K, mol/L.
    pub constant_mol_l: D,
    /// c_ref, mol/L; infinite for none.
    pub reference_mol_l: f64,
}

impl<D> Saturation<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Saturation<E> {
        Saturation {
            of: self.of,
            constant_mol_l: of(&self.constant_mol_l),
            reference_mol_l: self.reference_mol_l,
        }
    }
}

impl<D: Scalar> Saturation<D> {
    /// ln of the factor, or `None` when there is nothing and the rate is zero.
    pub fn ln_factor(&self, at: &Conditions<D>) -> Option<D> {
        let c = self.of.of(at);
        if c <= D::from(0.0) {
            return None;
        }
        // K/c_ref is zero for an infinite reference.
        let at_reference = self.constant_mol_l / self.reference_mol_l + 1.0;
        Some((at_reference / (self.constant_mol_l / c + 1.0)).ln())
    }
}
