//! Activity coefficients of everything dissolved, from a solved equilibrium.

use super::chemistry::{Chemistry, PROTON, Species, WATER};
use super::equilibrium::Equilibrium;
use super::speciation::{Speciation, TRACE_MOL_KG};
use crate::constants::LN_10;

/// The molal activity coefficient of every dissolved substance by name, in the order of
/// [`Speciation::species`].
///
/// A formed species has it by mass action: ln g = ln K + sum_j nu_j ln a_j - ln m, where water is
/// among the j. A species of which nothing at all is there has none and is left out.
pub fn activity_coefficients(
    chemistry: &Chemistry,
    equilibrium: &Equilibrium,
    speciation: &Speciation,
) -> Vec<(String, f64)> {
    let names = equilibrium.component_names();
    let molality = |mol_l: f64| mol_l / speciation.water_kg_l;
    let ln_gamma_of_component = |position: usize| {
        let molality = molality(speciation.free_mol_l(equilibrium, position));
        speciation.ln_activity(equilibrium, position) - molality.max(TRACE_MOL_KG).ln()
    };
    let ln_activity = |component: &str| match component {
        PROTON => Some(-speciation.ph() * LN_10),
        WATER => Some(speciation.ln_water_activity),
        name => names.iter().position(|known| known == name).map(|position| {
            let molality = molality(speciation.free_mol_l(equilibrium, position));
            ln_gamma_of_component(position) + molality.ln()
        }),
    };
    let ln_gamma_of_species = |species: &Species, molality: f64| {
        let parts = species.forms_from.iter();
        let sum = parts
            .map(|(index, count)| Some(count * ln_activity(&chemistry.components[*index].name)?))
            .sum::<Option<f64>>()?;
        let ln_k: f64 = species.constant.ln_k(speciation.temperature_k);
        Some(ln_k + sum - molality.ln())
    };
    speciation
        .species(equilibrium)
        .filter_map(|(name, mol_l)| {
            let ln_gamma = if name == PROTON {
                -speciation.ph() * LN_10 - molality(mol_l).ln()
            } else if let Some(position) = names.iter().position(|known| known == name) {
                ln_gamma_of_component(position)
            } else {
                let species = chemistry.species.iter().find(|species| species.name == name)?;
                ln_gamma_of_species(species, molality(mol_l))?
            };
            ln_gamma.is_finite().then(|| (name.to_owned(), ln_gamma.exp()))
        })
        .collect()
}
