//! What a solved solution shows: pH, concentrations per litre, activities.

use super::Speciation;
use super::equilibrium::Equilibrium;
use super::workspace::TRACE_MOL_KG;
use crate::constants::LN_10;

impl Speciation {
    /// pH = -log10 a(H+), on the molal activity scale.
    pub fn ph(&self) -> f64 {
        let proton = self.ln_free.len() - 1;
        (self.charge_function - self.between.shift[proton] - self.ln_free[proton]) / LN_10
    }

    /// Ionic strength, mol/L.
    pub fn ionic_strength_mol_l(&self) -> f64 {
        self.ionic_strength_mol_kg * self.water_kg_l
    }

    /// Free concentration of a component, mol/L.
    pub fn free_mol_l(&self, chemistry: &Equilibrium, position: usize) -> f64 {
        self.molalities[chemistry.substance(position)] * self.water_kg_l
    }

    /// ln of the activity of a free component: molality times coefficient. One that is not there counts
    /// as a trace; one that is held by a strong complex may be far below any trace.
    pub fn ln_activity(&self, chemistry: &Equilibrium, position: usize) -> f64 {
        let substance = chemistry.substance(position);
        // A chelated metal is free at far less than a trace.
        let least = if self.totals[position] > TRACE_MOL_KG { f64::MIN_POSITIVE } else { TRACE_MOL_KG };
        self.molalities[substance].max(least).ln() + self.ln_coefficient(chemistry, substance)
    }

    /// ln of the activity coefficient of a dissolved substance.
    pub(super) fn ln_coefficient(&self, chemistry: &Equilibrium, substance: usize) -> f64 {
        let charge = chemistry.charges[substance];
        self.between.shift[substance] - charge * charge * self.charge_function
    }

    /// Every dissolved substance with its concentration, mol/L: free components, proton, species.
    pub fn species<'a>(&'a self, chemistry: &'a Equilibrium) -> impl Iterator<Item = (&'a str, f64)> + 'a {
        self.each_substance(chemistry)
            .map(|(name, substance)| (name, self.molalities[substance] * self.water_kg_l))
    }

    /// Every dissolved substance with its activity coefficient on the molal scale, in the order of
    /// [`Speciation::species`].
    pub fn activity_coefficients<'a>(
        &'a self,
        chemistry: &'a Equilibrium,
    ) -> impl Iterator<Item = (&'a str, f64)> + 'a {
        self.each_substance(chemistry)
            .map(|(name, substance)| (name, self.ln_coefficient(chemistry, substance).exp()))
    }

    /// Concentrations of [`Speciation::species`], mol/L, without their names. Does not allocate.
    pub fn dissolved_mol_l(&self, chemistry: &Equilibrium, into: &mut [f64]) {
        for (mol_l, substance) in into.iter_mut().zip(&chemistry.listed) {
            *mol_l = self.molalities[*substance] * self.water_kg_l;
        }
    }

    pub(super) fn each_substance<'a>(
        &'a self,
        chemistry: &'a Equilibrium,
    ) -> impl Iterator<Item = (&'a str, usize)> + 'a {
        chemistry.substance_names().zip(chemistry.listed.iter().copied())
    }
}
