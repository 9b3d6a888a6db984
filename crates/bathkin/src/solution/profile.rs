//! What a solution holds, point after point along a curve, and how near it is to precipitation.

use schemars::JsonSchema;
use serde::Serialize;

use super::chemistry::Chemistry;
use super::equilibrium::Equilibrium;
use super::solids::{BathSolid, OVERSATURATED};
use super::workspace::Speciation;
use crate::error::Result;

/// Columns along a curve of solutions, one value per point.
#[derive(Debug, Clone, PartialEq, Default, JsonSchema, Serialize)]
pub struct Profile {
    /// pH.
    pub ph: Vec<f64>,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: Vec<f64>,
    /// Strong base per unit of pH, mol/L.
    pub buffer_capacity_mol_l: Vec<f64>,
    /// Every dissolved substance, mol/L, in the order of [`Speciation::species`].
    #[serde(skip)]
    pub species_mol_l: Vec<(String, Vec<f64>)>,
    /// Saturation index of every solid that is watched, log10(IAP/Ksp). Nothing is taken out of the
    /// liquid: past an index of zero the curve is that of the supersaturated solution.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, Vec<f64>>")]
    pub saturation_index: Vec<(String, Vec<f64>)>,
    #[serde(skip)]
    solids: Vec<BathSolid>,
}

/// Where along a curve a solution becomes saturated with a solid.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Onset {
    /// Name of the solid.
    pub solid: String,
    /// Its name for people.
    pub title: String,
    /// pH there: between two points where the straight line between their indices passes zero.
    pub ph: f64,
    /// The place among the points: 2.5 lies midway between the third and the fourth.
    pub point: f64,
    /// Largest saturation index along the curve.
    pub largest_index: f64,
}

impl Profile {
    /// No point yet; `solids` are watched.
    pub fn new(equilibrium: &Equilibrium, solids: &[BathSolid]) -> Self {
        let names = equilibrium.substance_names().map(str::to_owned);
        Profile {
            species_mol_l: names.map(|name| (name, Vec::new())).collect(),
            saturation_index: solids.iter().map(|solid| (solid.name.clone(), Vec::new())).collect(),
            solids: solids.to_vec(),
            ..Profile::default()
        }
    }

    /// Appends the solution as it is solved.
    ///
    /// # Errors
    /// As [`Speciation::buffer_capacity_mol_l`].
    pub fn record(&mut self, equilibrium: &Equilibrium, speciation: &mut Speciation) -> Result<()> {
        self.ph.push(speciation.ph());
        self.ionic_strength_mol_l.push(speciation.ionic_strength_mol_l());
        for ((_, column), (_, mol_l)) in self.species_mol_l.iter_mut().zip(speciation.species(equilibrium)) {
            column.push(mol_l);
        }
        for ((_, column), solid) in self.saturation_index.iter_mut().zip(&self.solids) {
            column.push(solid.saturation_index(equilibrium, speciation));
        }
        self.buffer_capacity_mol_l.push(speciation.buffer_capacity_mol_l(equilibrium)?);
        Ok(())
    }

    /// Where the curve becomes oversaturated with each solid, in the order of its points; solids with
    /// which it never is are left out.
    pub fn onsets(&self) -> Vec<Onset> {
        let columns = self.saturation_index.iter().zip(&self.solids);
        columns.filter_map(|((_, indices), solid)| self.onset(indices, solid)).collect()
    }

    fn onset(&self, indices: &[f64], solid: &BathSolid) -> Option<Onset> {
        let first = indices.iter().position(|index| *index > OVERSATURATED)?;
        let last = first.saturating_sub(1);
        let (clear, over) = (indices[last], indices[first]);
        let along = if last == first { 0.0 } else { (-clear / (over - clear)).clamp(0.0, 1.0) };
        Some(Onset {
            solid: solid.name.clone(),
            title: solid.title.clone(),
            ph: self.ph[last] + along * (self.ph[first] - self.ph[last]),
            point: last as f64 + along,
            largest_index: indices.iter().copied().fold(over, f64::max),
        })
    }

    /// The column of a dissolved substance, mol/L.
    pub fn species(&self, name: &str) -> Option<&[f64]> {
        self.species_mol_l.iter().find(|(known, _)| known == name).map(|(_, column)| column.as_slice())
    }
}

/// How many of a component each dissolved substance holds, in the order of [`Speciation::species`];
/// one for the free component itself.
pub fn held_by(chemistry: &Chemistry, equilibrium: &Equilibrium, component: &str) -> Vec<f64> {
    let index = chemistry.component(component);
    let of_species = |name: &str| {
        let species = chemistry.species.iter().find(|species| species.name == name)?;
        species.forms_from.iter().find(|(part, _)| Some(*part) == index).map(|(_, count)| *count)
    };
    equilibrium
        .substance_names()
        .map(|name| if name == component { 1.0 } else { of_species(name).unwrap_or(0.0) })
        .collect()
}
