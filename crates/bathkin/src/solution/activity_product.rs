//! Products of activities: what mass action compares with a constant.

use super::chemistry::{Chemistry, PROTON, WATER};
use super::equilibrium::Equilibrium;
use super::workspace::Speciation;
use crate::constants::LN_10;

/// The product of activities of one side of a reaction over the components of one bath.
///
/// ln Q = sum_j nu_j ln a_j - nu_H ln(10) pH + nu_w ln a_w
#[derive(Debug, Clone, PartialEq)]
pub struct ActivityProduct {
    /// (position among the components of the bath, coefficient).
    terms: Vec<(usize, f64)>,
    proton: f64,
    water: f64,
}

impl ActivityProduct {
    /// The product over the components of a bath; `None` when one of them is not in it.
    pub fn resolve(chemistry: &Chemistry, parts: &[(usize, f64)], equilibrium: &Equilibrium) -> Option<Self> {
        let mut product = ActivityProduct { terms: Vec::new(), proton: 0.0, water: 0.0 };
        for (index, coefficient) in parts {
            match chemistry.components[*index].name.as_str() {
                PROTON => product.proton += coefficient,
                WATER => product.water += coefficient,
                name => {
                    let names = equilibrium.component_names();
                    let position = names.iter().position(|known| known == name)?;
                    product.terms.push((position, *coefficient));
                }
            }
        }
        Some(product)
    }

    /// ln of the product in a solved solution. A component that is not there counts as a trace.
    pub fn ln(&self, equilibrium: &Equilibrium, speciation: &Speciation) -> f64 {
        let components: f64 = self
            .terms
            .iter()
            .map(|(position, coefficient)| coefficient * speciation.ln_activity(equilibrium, *position))
            .sum();
        components - self.proton * LN_10 * speciation.ph() + self.water * speciation.ln_water_activity
    }

    /// True when the component at a position takes part.
    pub fn contains(&self, position: usize) -> bool {
        self.terms.iter().any(|(known, _)| *known == position)
    }
}
