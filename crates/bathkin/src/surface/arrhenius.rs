//! Temperature: the Arrhenius factor about a reference temperature.

use crate::constants::GAS_CONSTANT_J_MOL_K;
use crate::scalar::Scalar;

/// exp(-Ea/R (1/T - 1/T_ref)): one at the reference temperature.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | Ea | apparent activation energy | kJ/mol |
/// | T, T_ref | temperature, reference temperature | K |
///
/// Written about a reference temperature, so that the rate beside it has the meaning and the unit
/// of a rate and is little correlated with Ea. Source: textbook form. Valid where one step
/// controls; published apparent values for acid nickel run from 38 to 43 kJ/mol, the shop rule
/// "twice as fast per 10 degC" means 74 kJ/mol at 80-90 degC.
///
/// ```
/// use bathkin::surface::Arrhenius;
/// // 73.9 kJ/mol doubles the rate between 80 and 90 degC.
/// let law = Arrhenius { activation_energy_kj_mol: 73.9, reference_temperature_k: 353.15 };
/// let factor: f64 = law.ln_factor(363.15);
/// assert!((factor.exp() - 2.0).abs() < 0.01);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrhenius<D = f64> {
    /// Ea, kJ/mol.
    pub activation_energy_kj_mol: D,
    /// T_ref, K.
    pub reference_temperature_k: f64,
}

impl<D> Arrhenius<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Arrhenius<E> {
        Arrhenius {
            activation_energy_kj_mol: of(&self.activation_energy_kj_mol),
            reference_temperature_k: self.reference_temperature_k,
        }
    }
}

impl<D: Scalar> Arrhenius<D> {
    /// ln of the factor at a temperature in kelvin.
    pub fn ln_factor(&self, temperature_k: D) -> D {
        let difference = temperature_k.recip() - 1.0 / self.reference_temperature_k;
        -self.activation_energy_kj_mol * difference * (1e3 / GAS_CONSTANT_J_MOL_K)
    }
}
