//! pH: an apparent order in the hydrogen ion.

use crate::constants::LN_10;
use crate::scalar::Scalar;

/// 10^(s (pH - pH_ref)): s decades per unit of pH, which is an order -s in a(H+).
///
/// Source: the usual way acid nickel data are summed up. Valid between about pH 4 and 5.5 in acid
/// baths; no law of this form has a maximum, which complexed alkaline baths do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhOrder<D = f64> {
    /// s, decades per pH.
    pub decades_per_ph: D,
    /// pH_ref.
    pub reference_ph: f64,
}

impl<D> PhOrder<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> PhOrder<E> {
        PhOrder { decades_per_ph: of(&self.decades_per_ph), reference_ph: self.reference_ph }
    }
}

impl<D: Scalar> PhOrder<D> {
    /// ln of the factor at a pH.
    pub fn ln_factor(&self, ph: D) -> D {
        self.decades_per_ph * (ph - self.reference_ph) * LN_10
    }
}
