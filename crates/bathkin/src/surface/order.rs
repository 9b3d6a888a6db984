//! Concentration: a power order about a reference concentration.

use super::conditions::Conditions;
use crate::scalar::Scalar;

/// Which concentration of a component a law follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// What a titration finds: all forms together.
    Total,
    /// The free, uncomplexed form.
    Free,
}

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
    /// Index of the component among the totals.
    pub component: usize,
    /// Total or free concentration.
    pub basis: Basis,
    /// n.
    pub order: D,
    /// c_ref, mol/L.
    pub reference_mol_l: D,
}

impl<D: Scalar> Order<D> {
    /// ln of the factor, or `None` when the concentration is used up and the rate is zero.
    pub fn ln_factor(&self, at: &Conditions<D>) -> Option<D> {
        const NOTHING_LEFT: f64 = 1e-12;
        let ratio = self.concentration(at) / self.reference_mol_l;
        if ratio > 0.0 {
            Some(self.order * ratio.ln())
        } else if self.order > 0.0 {
            None
        } else {
            Some(self.order * NOTHING_LEFT.ln())
        }
    }

    fn concentration(&self, at: &Conditions<D>) -> D {
        match self.basis {
            Basis::Total => at.totals_mol_l[self.component],
            Basis::Free => at.free_mol_l[self.component],
        }
    }
}
