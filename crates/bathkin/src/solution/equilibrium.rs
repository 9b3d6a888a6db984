//! The chemistry of one bath resolved to indices: which components form which species.

use super::activity::Activity;
use super::chemistry::{Chemistry, PROTON, WATER};
use super::equilibrium_constant::EquilibriumConstant;
use super::speciation::Speciation;

/// A species with its stoichiometry over the unknowns.
#[derive(Debug, Clone)]
pub(super) struct Formed {
    /// First and one-past-last term in [`Equilibrium::terms`].
    pub(super) terms: std::ops::Range<usize>,
    pub(super) charge: f64,
    /// sum_j nu_j z_j² - z²: how the activity model shifts ln K.
    pub(super) square_charge_change: f64,
    pub(super) constant: EquilibriumConstant,
}

/// The chemistry of one bath, resolved to indices. Immutable; share it freely.
#[derive(Debug, Clone)]
pub struct Equilibrium {
    pub(super) component_names: Vec<String>,
    pub(super) component_charges: Vec<f64>,
    pub(super) species_names: Vec<String>,
    /// Components that form species, in the order of the unknowns.
    pub(super) active: Vec<usize>,
    /// Components that stay as they are (sodium): only their charge matters.
    pub(super) inert: Vec<usize>,
    pub(super) formed: Vec<Formed>,
    /// (unknown, coefficient); the proton is unknown number `active.len()`.
    pub(super) terms: Vec<(usize, f64)>,
    pub(super) activity: Activity,
}

impl Equilibrium {
    /// The equilibrium among the named components (the proton and water are always there).
    ///
    /// Every species of the chemistry that forms from these components alone takes part.
    pub fn new(chemistry: &Chemistry, component_names: &[String], activity: Activity) -> Self {
        let charges: Vec<f64> = component_names
            .iter()
            .filter_map(|name| chemistry.component(name))
            .map(|index| chemistry.components[index].formula.charge)
            .collect();
        let slot =
            |index: usize| component_names.iter().position(|name| *name == chemistry.components[index].name);
        let is = |index: usize, name: &str| chemistry.components[index].name == name;

        let possible: Vec<_> = chemistry
            .species
            .iter()
            .filter(|species| {
                species.forms_from.iter().all(|(i, _)| slot(*i).is_some() || is(*i, PROTON) || is(*i, WATER))
            })
            .collect();
        let takes_part = |position: usize| {
            possible.iter().any(|species| species.forms_from.iter().any(|(i, _)| slot(*i) == Some(position)))
        };
        let (active, inert): (Vec<usize>, Vec<usize>) =
            (0..component_names.len()).partition(|position| takes_part(*position));

        let mut terms = Vec::new();
        let mut formed = Vec::new();
        for species in &possible {
            let start = terms.len();
            let mut squares = -species.formula.charge.powi(2);
            for (index, coefficient) in &species.forms_from {
                if is(*index, WATER) {
                    continue;
                }
                let unknown = slot(*index)
                    .and_then(|position| active.iter().position(|a| *a == position))
                    .unwrap_or(active.len());
                terms.push((unknown, *coefficient));
                squares += coefficient * chemistry.components[*index].formula.charge.powi(2);
            }
            formed.push(Formed {
                terms: start..terms.len(),
                charge: species.formula.charge,
                square_charge_change: squares,
                constant: species.constant,
            });
        }
        Equilibrium {
            component_names: component_names.to_vec(),
            component_charges: charges,
            species_names: possible.iter().map(|species| species.name.clone()).collect(),
            active,
            inert,
            formed,
            terms,
            activity,
        }
    }

    /// Names of the components, in the order of the totals.
    pub fn component_names(&self) -> &[String] {
        &self.component_names
    }

    /// Charge numbers of the components.
    pub fn component_charges(&self) -> &[f64] {
        &self.component_charges
    }

    /// The activity model.
    pub fn activity(&self) -> Activity {
        self.activity
    }

    pub(super) fn proton(&self) -> usize {
        self.active.len()
    }

    /// Charge of unknown number `k` (active component or proton).
    pub(super) fn unknown_charge(&self, k: usize) -> f64 {
        self.active.get(k).map_or(1.0, |position| self.component_charges[*position])
    }

    /// sum f(z) T over the components that form no species.
    pub(super) fn inert_moment(&self, speciation: &Speciation, f: impl Fn(f64) -> f64) -> f64 {
        self.inert
            .iter()
            .map(|position| f(self.component_charges[*position]) * speciation.totals[*position].max(0.0))
            .sum()
    }

    /// Empty memory for this equilibrium, to be filled by [`Speciation::solve`].
    pub fn speciation(&self) -> Speciation {
        Speciation::empty(self)
    }
}
