//! Salt: how the ionic strength slows a reaction, whatever the salt is.

use super::conditions::Conditions;
use super::inhibition::InhibitionForm;
use crate::scalar::Scalar;

/// (g(I)/g(I_ref))^m with g(I) = exp(-I/K) or 1/(1 + I/K): one at the reference strength.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | I, I_ref | ionic strength, that of the reference state (zero for none) | mol/L |
/// | K | inhibition constant | mol/L |
/// | m | exponent, 1 for a rate | 1 |
///
/// Source: a form, no published constant. Orthophosphite and sulfate pile up together, so from one
/// bath's life they cannot be told apart; the ionic strength stands for all salt at once. A bath
/// kept free of both held its rate for 30 turnovers, one in which sulfate piled up lost some of it.
/// Use it instead of, not beside, an inhibition by each salt, or the salt counts twice.
///
/// ```
/// use bathkin::surface::{Conditions, InhibitionForm, IonicStrength};
/// let law = IonicStrength {
///     form: InhibitionForm::Exponential, constant_mol_l: 4.0, reference_mol_l: 0.9, exponent: 1.0,
/// };
/// let at = |ionic_strength_mol_l: f64| law.ln_factor(&Conditions {
///     temperature_k: 361.15, ph: 4.8, ionic_strength_mol_l, totals_mol_l: &[], dissolved_mol_l: &[],
/// });
/// assert_eq!(at(0.9), 0.0);
/// assert!((at(4.9).exp() - (-1f64).exp()).abs() < 1e-14);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IonicStrength<D = f64> {
    /// Shape.
    pub form: InhibitionForm,
    /// K, mol/L.
    pub constant_mol_l: D,
    /// I_ref, mol/L.
    pub reference_mol_l: f64,
    /// m.
    pub exponent: D,
}

impl<D> IonicStrength<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> IonicStrength<E> {
        IonicStrength {
            form: self.form,
            constant_mol_l: of(&self.constant_mol_l),
            reference_mol_l: self.reference_mol_l,
            exponent: of(&self.exponent),
        }
    }
}

impl<D: Scalar> IonicStrength<D> {
    /// ln of the factor.
    pub fn ln_factor(&self, at: &Conditions<D>) -> D {
        let strength = at.ionic_strength_mol_l;
        let ln_g = match self.form {
            InhibitionForm::Exponential => (-strength + self.reference_mol_l) / self.constant_mol_l,
            InhibitionForm::Hyperbolic => {
                ((self.constant_mol_l + self.reference_mol_l) / (self.constant_mol_l + strength)).ln()
            }
        };
        self.exponent * ln_g
    }
}
