//! What a rate law sees of the bath.

use crate::scalar::Scalar;
use crate::solution::{Answer, Equilibrium};

/// The state of the liquid at the surface, as the laws read it.
#[derive(Debug, Clone, Copy)]
pub struct Conditions<'a, D = f64> {
    /// Temperature, K.
    pub temperature_k: D,
    /// pH on the activity scale, at this temperature.
    pub ph: D,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: D,
    /// Total of each component, mol/L.
    pub totals_mol_l: &'a [D],
    /// Every dissolved substance, mol/L: each component free (uncomplexed), the proton, then the
    /// formed species; the order of [`crate::solution::Speciation::species`].
    pub dissolved_mol_l: &'a [D],
}

/// The same with its concentrations: dual numbers tell how fast a liquid moves.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnedConditions<D> {
    /// Temperature, K.
    pub temperature_k: D,
    /// pH on the activity scale, at this temperature.
    pub ph: D,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: D,
    /// As [`Conditions::totals_mol_l`].
    pub totals_mol_l: Vec<D>,
    /// As [`Conditions::dissolved_mol_l`].
    pub dissolved_mol_l: Vec<D>,
}

impl<D: Scalar> OwnedConditions<D> {
    /// What the laws see.
    pub fn conditions(&self) -> Conditions<'_, D> {
        Conditions {
            temperature_k: self.temperature_k,
            ph: self.ph,
            ionic_strength_mol_l: self.ionic_strength_mol_l,
            totals_mol_l: &self.totals_mol_l,
            dissolved_mol_l: &self.dissolved_mol_l,
        }
    }
}

/// Which concentration a law follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Concentration {
    /// What a titration finds of a component, all forms together; by its place among the totals.
    Total(usize),
    /// One dissolved substance, a free ion or a formed species; by its place among the dissolved.
    Dissolved(usize),
}

impl Concentration {
    /// Its value, mol/L. An integrator's trial state may lie a hair below zero.
    pub fn of<D: Scalar>(&self, at: &Conditions<D>) -> D {
        match *self {
            Concentration::Total(component) => at.totals_mol_l[component],
            Concentration::Dissolved(substance) => at.dissolved_mol_l[substance],
        }
    }

    /// What has to be solved for to know it; none for a total.
    pub fn answer(&self) -> Option<Answer> {
        match *self {
            Concentration::Total(_) => None,
            Concentration::Dissolved(substance) => Some(Answer::Dissolved(substance)),
        }
    }

    /// Its name.
    pub fn name<'a>(&self, equilibrium: &'a Equilibrium) -> &'a str {
        let name = match *self {
            Concentration::Total(component) => {
                equilibrium.component_names().get(component).map(String::as_str)
            }
            Concentration::Dissolved(place) => equilibrium.substance_names().nth(place),
        };
        name.unwrap_or_default()
    }
}
