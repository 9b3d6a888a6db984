//! What a solution holds, point after point along a curve.

use super::chemistry::Chemistry;
use super::equilibrium::Equilibrium;
use super::speciation::Speciation;
use crate::error::Result;

/// Columns along a curve of solutions, one value per point.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Profile {
    /// pH.
    pub ph: Vec<f64>,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: Vec<f64>,
    /// Strong base per unit of pH, mol/L.
    pub buffer_capacity_mol_l: Vec<f64>,
    /// Every dissolved substance, mol/L, in the order of [`Speciation::species`].
    pub species_mol_l: Vec<(String, Vec<f64>)>,
}

impl Profile {
    /// No point yet.
    pub fn new(equilibrium: &Equilibrium) -> Self {
        let names = equilibrium.substance_names().map(str::to_owned);
        Profile { species_mol_l: names.map(|name| (name, Vec::new())).collect(), ..Profile::default() }
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
        self.buffer_capacity_mol_l.push(speciation.buffer_capacity_mol_l(equilibrium)?);
        Ok(())
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
