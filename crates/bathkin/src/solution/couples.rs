//! Redox couples between the dissolved components and pure solids: at which potential each stands.
//!
//! A couple is written as a reduction, sum_j nu_j A_j + n e- -> pure solids, with K its constant
//! against the hydrogen electrode. Its potential against the standard hydrogen electrode is
//!
//! E = R T/(n F) (ln K(T) + sum_j nu_j ln a_j), E0 = R T ln K/(n F).
//!
//! Below the potential of 2 Cu+2 + H2O + 2 e- -> Cu2O + 2 H+ copper(I) oxide can form from the
//! bath; where that lies above the potential of the copper metal, the oxide is what a half-starved
//! surface or the open bath makes.

use super::activity_product::ActivityProduct;
use super::chemistry::Chemistry;
use super::equilibrium::Equilibrium;
use super::equilibrium_constant::EquilibriumConstant;
use super::workspace::Speciation;
use crate::constants::{FARADAY_C_MOL, GAS_CONSTANT_J_MOL_K};

/// A couple resolved to the components of one bath.
#[derive(Debug, Clone, PartialEq)]
pub struct BathCouple {
    /// Name, as used in recipes.
    pub name: String,
    /// The reaction, for people.
    pub title: String,
    electrons: f64,
    constant: EquilibriumConstant,
    product: ActivityProduct,
}

impl BathCouple {
    /// The couples of a bath: its metal and all components are there.
    pub fn of_bath(chemistry: &Chemistry, equilibrium: &Equilibrium) -> Vec<Self> {
        let in_bath =
            |index: usize| equilibrium.component_names().contains(&chemistry.components[index].name);
        chemistry
            .couples
            .iter()
            .filter(|couple| in_bath(couple.metal))
            .filter_map(|couple| {
                Some(BathCouple {
                    product: ActivityProduct::resolve(chemistry, &couple.forms_from, equilibrium)?,
                    name: couple.name.clone(),
                    title: couple.title.clone(),
                    electrons: couple.electrons,
                    constant: couple.constant,
                })
            })
            .collect()
    }

    /// Potential in a solved solution, V against the standard hydrogen electrode at its temperature.
    pub fn potential_v(&self, equilibrium: &Equilibrium, speciation: &Speciation) -> f64 {
        let t = speciation.temperature_k;
        let ln_k: f64 = self.constant.ln_k(t);
        GAS_CONSTANT_J_MOL_K * t / (self.electrons * FARADAY_C_MOL)
            * (ln_k + self.product.ln(equilibrium, speciation))
    }
}
