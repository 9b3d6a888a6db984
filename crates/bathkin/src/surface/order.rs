//! Concentration: a power order about a reference concentration.

use super::conditions::{Concentration, Conditions};
use crate::scalar::Scalar;

/// (c/c_ref)^n: one at the reference concentration.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | c, c_ref | concentration, reference concentration | mol/L |
/// | n | apparent order, independent of the stoichiometry | 1 |
///
/// Valid over the range the order was found in. At c = 0 a positive order gives a rate of zero,
/// and a negative order is read at one trillionth of the reference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Order<D: Scalar = f64> {
    /// c.
    pub of: Concentration,
    /// n.
    pub order: D,
    /// c_ref, mol/L.
    pub reference_mol_l: D,
}

impl<D: Scalar> Order<D> {
    /// ln of the factor, or `None` when the concentration is used up and the rate is zero.
    pub fn ln_factor(&self, at: &Conditions<D>) -> Option<D> {
        const NOTHING_LEFT: f64 = 1e-12;
        let ratio = self.of.of(at) / self.reference_mol_l;
        if ratio > 0.0 {
            Some(self.order * ratio.ln())
        } else if self.order > 0.0 {
            None
        } else {
            Some(self.order * NOTHING_LEFT.ln())
        }
    }
}
