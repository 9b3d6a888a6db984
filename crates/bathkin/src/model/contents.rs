//! What the bath of a recipe holds: components, elements, the fresh liquid.

use std::sync::Arc;

use crate::error::Result;
use crate::flag::Flag;
use crate::model::missing_enthalpies::species_named;
use crate::solution::chemistry::{PROTON, WATER};
use crate::solution::profile::held_by;
use crate::solution::{Chemistry, Element, Equilibrium, Formula, Speciation};
use crate::tank::{BathState, Tank, WATER_MOL_L};

/// What the components of the bath warn of.
pub(crate) fn cautions(chemistry: &Chemistry, names: &[String]) -> Vec<Flag> {
    let of = chemistry.components.iter().filter(|component| names.contains(&component.name));
    of.filter_map(|component| {
        let what = component.caution.clone()?;
        Some(Flag { r#where: format!("components.{}", component.name), what })
    })
    .collect()
}

/// Dissolved substances that hold a component.
pub(crate) fn holding(chemistry: &Chemistry, equilibrium: &Equilibrium, component: &str) -> Vec<usize> {
    let counts = held_by(chemistry, equilibrium, component).into_iter().enumerate();
    counts.filter(|(_, count)| *count != 0.0).map(|(substance, _)| substance).collect()
}

/// Molar masses of the dissolved substances, g/mol.
pub(crate) fn dissolved_g_mol(chemistry: &Chemistry, equilibrium: &Equilibrium) -> Arc<[f64]> {
    let g_mol = |name: &str| {
        let component = chemistry.component(name).map(|index| &chemistry.components[index].formula);
        let formula = component.or_else(|| species_named(chemistry, name).map(|species| &species.formula));
        formula.and_then(|formula| formula.molar_mass_g_mol(&chemistry.atomic_weights).ok())
    };
    equilibrium.substance_names().map(|name| g_mol(name).unwrap_or(f64::NAN)).collect()
}

/// Moles per litre of every slot of the bath as made up; protons by electroneutrality.
pub(crate) fn fresh_per_litre(totals: &[f64], liquid: &[Formula]) -> Vec<f64> {
    let charge: f64 = totals.iter().zip(liquid).map(|(total, formula)| total * formula.charge).sum();
    totals.iter().copied().chain([-charge, WATER_MOL_L]).collect()
}

/// The fresh bath as it shows, from its liquid as it was solved when its pH was set.
pub(crate) fn fresh_bath(
    tank: &Tank,
    totals: &[f64],
    mut speciation: Speciation,
) -> Result<(BathState, Speciation)> {
    let mut observed = BathState::new(tank);
    observed.totals_mol_l.copy_from_slice(totals);
    observed.update(tank, &mut speciation)?;
    Ok((observed, speciation))
}

pub(crate) fn elements_of<'a>(sides: impl Iterator<Item = &'a crate::solution::Elements>) -> Vec<Element> {
    let mut found: Vec<Element> = sides.flat_map(|side| side.keys().copied()).collect();
    found.sort_unstable();
    found.dedup();
    found
}

pub(crate) fn indexed(order: &[Element], side: &crate::solution::Elements) -> Vec<(usize, f64)> {
    order
        .iter()
        .enumerate()
        .filter_map(|(index, element)| side.get(element).map(|atoms| (index, *atoms)))
        .collect()
}

pub(crate) fn component_names(chemistry: &Chemistry, used: impl Iterator<Item = usize>) -> Vec<String> {
    let mut indices: Vec<usize> =
        used.filter(|index| ![PROTON, WATER].contains(&chemistry.components[*index].name.as_str())).collect();
    indices.sort_unstable();
    indices.dedup();
    indices.into_iter().map(|index| chemistry.components[index].name.clone()).collect()
}
