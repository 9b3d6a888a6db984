//! What a rate law sees of the bath.

use crate::scalar::Scalar;

/// The state of the liquid at the surface, as the laws read it.
#[derive(Debug, Clone, Copy)]
pub struct Conditions<'a, D: Scalar = f64> {
    /// Temperature, K.
    pub temperature_k: D,
    /// pH on the activity scale, at this temperature.
    pub ph: D,
    /// Total of each component, mol/L.
    pub totals_mol_l: &'a [D],
    /// Free (uncomplexed) concentration of each component, mol/L.
    pub free_mol_l: &'a [D],
}
