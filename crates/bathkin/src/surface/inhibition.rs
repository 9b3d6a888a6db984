//! By-products: how a component that piles up slows (or steers) a reaction.

use super::conditions::{Concentration, Conditions};
use crate::scalar::Scalar;

/// The shape of an inhibition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InhibitionForm {
    /// g = exp(-c/K): the loss per turnover stays a constant share of what is left.
    Exponential,
    /// g = 1/(1 + c/K): the loss per turnover grows smaller as the bath ages.
    Hyperbolic,
}

/// g(c)^m with g = exp(-c/K) or 1/(1 + c/K): one without the by-product.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | c | concentration of the by-product | mol/L |
/// | K | inhibition constant | mol/L |
/// | m | exponent, 1 for a rate; a small negative one lets a selectivity rise with age | 1 |
///
/// Source: forms in common use for orthophosphite, no published constant; acid nickel loses 3-7 %
/// of its fresh rate per turnover in practice, which K near 4 mol/L meets. From one bath's life,
/// orthophosphite and sulfate cannot be told apart as the cause: both grow in proportion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inhibition<D = f64> {
    /// c.
    pub of: Concentration,
    /// Shape.
    pub form: InhibitionForm,
    /// K, mol/L.
    pub constant_mol_l: D,
    /// m.
    pub exponent: D,
}

impl<D> Inhibition<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Inhibition<E> {
        Inhibition {
            of: self.of,
            form: self.form,
            constant_mol_l: of(&self.constant_mol_l),
            exponent: of(&self.exponent),
        }
    }
}

impl<D: Scalar> Inhibition<D> {
    /// ln of the factor.
    pub fn ln_factor(&self, at: &Conditions<D>) -> D {
        let ratio = self.of.of(at) / self.constant_mol_l;
        let ln_g = match self.form {
            InhibitionForm::Exponential => -ratio,
            // An integrator's trial state may lie a hair below zero, never near -K.
            InhibitionForm::Hyperbolic => -(ratio + 1.0).ln(),
        };
        self.exponent * ln_g
    }
}
