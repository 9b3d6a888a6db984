//! The chemistry of one bath resolved to indices: which components form which species.

use super::activity::Activity;
use super::chemistry::{Chemistry, HYDROXIDE, PROTON, WATER};
use super::density::Volumes;
use super::equilibrium_constant::EquilibriumConstant;
use super::pairs::Pair;
use crate::stop::Stop;

/// A species with its stoichiometry over the unknowns.
#[derive(Debug, Clone)]
pub(super) struct Formed {
    /// First and one-past-last term in [`Equilibrium::terms`].
    pub(super) terms: std::ops::Range<usize>,
    /// The same without the proton, which is last and has no mass balance.
    pub(super) mass_terms: std::ops::Range<usize>,
    pub(super) charge: f64,
    pub(super) constant: EquilibriumConstant,
    /// Coefficient of water in the formation reaction.
    pub(super) water: f64,
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
    /// Pairs of ions that interact, by their place among the dissolved substances.
    pub(super) pairs: Vec<Pair>,
    /// Number of pairs whose coefficient moves with ionic strength; they come first.
    pub(super) moving_pairs: usize,
    /// Whether a formed species is in any pair.
    pub(super) formed_pairs: Vec<bool>,
    /// Charges of the dissolved substances: active components, proton, formed species, inert ones.
    pub(super) charges: Vec<f64>,
    /// What a litre holds of water; `None` when totals are per kilogram of water.
    pub(super) volumes: Option<Volumes>,
    /// For each active component, first and one-past-last in [`Equilibrium::held`].
    pub(super) holders: Vec<std::ops::Range<usize>>,
    /// (dissolved substance, how many of the component it holds), the free component not counted.
    pub(super) held: Vec<(usize, f64)>,
    /// Squares of the charges.
    pub(super) squares: Vec<f64>,
    /// (unknown, coefficient); the proton is unknown number `active.len()`.
    pub(super) terms: Vec<(usize, f64)>,
    /// Places among the dissolved substances in the order answers are listed in: components, proton,
    /// formed species.
    pub(super) listed: Vec<usize>,
    /// Largest coefficient of each active component in any species, at least one.
    pub(super) largest_coefficients: Vec<f64>,
    pub(super) activity: Activity,
    /// Solve to rounding: see [`Equilibrium::solved_exactly`].
    pub(super) exactly: bool,
    /// Ends all work with this solution when asked: every solution is solved for before anything is made of it.
    pub(super) stop: Stop,
}

impl Equilibrium {
    /// The equilibrium among the named components (the proton and water are always there).
    ///
    /// Every species of the chemistry that forms from these components alone takes part, but those
    /// that an interaction coefficient in use stands for. Totals are per kilogram of water;
    /// [`Equilibrium::per_litre`] takes them per litre.
    pub fn new(chemistry: &Chemistry, component_names: &[String], activity: Activity) -> Self {
        let charges: Vec<f64> = component_names
            .iter()
            .filter_map(|name| chemistry.component(name))
            .map(|index| chemistry.components[index].formula.charge)
            .collect();
        let slot =
            |index: usize| component_names.iter().position(|name| *name == chemistry.components[index].name);
        let is = |index: usize, name: &str| chemistry.components[index].name == name;

        let replaced = |name: &String| {
            activity == Activity::Sit
                && chemistry.interactions.iter().any(|pair| pair.excludes_species.contains(name))
        };
        let possible: Vec<_> = chemistry
            .species
            .iter()
            .filter(|species| !replaced(&species.name))
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
            let mut water = 0.0;
            for (index, coefficient) in &species.forms_from {
                if is(*index, WATER) {
                    water = *coefficient;
                    continue;
                }
                let unknown = slot(*index)
                    .and_then(|position| active.iter().position(|a| *a == position))
                    .unwrap_or(active.len());
                terms.push((unknown, *coefficient));
            }
            terms[start..].sort_by_key(|(unknown, _)| *unknown);
            let protons =
                usize::from(terms[start..].last().is_some_and(|(unknown, _)| *unknown == active.len()));
            formed.push(Formed {
                mass_terms: start..terms.len() - protons,
                terms: start..terms.len(),
                charge: species.formula.charge,
                constant: species.constant,
                water,
            });
        }
        let formula_of = |position: &usize| -> (&str, f64) {
            chemistry.component(&component_names[*position]).map_or(("", 0.0), |index| {
                let formula = &chemistry.components[index].formula;
                (formula.text.as_str(), formula.charge)
            })
        };
        let dissolved: Vec<(&str, f64)> = active
            .iter()
            .map(formula_of)
            .chain([("H+", 1.0)])
            .chain(possible.iter().map(|species| (species.formula.text.as_str(), species.formula.charge)))
            .chain(inert.iter().map(formula_of))
            .collect();
        let formulas: Vec<&str> = dissolved.iter().map(|(formula, _)| *formula).collect();
        let pairs = if activity == Activity::Sit { Pair::resolve(chemistry, &formulas) } else { Vec::new() };
        let first = active.len() + 1;
        let mut held: Vec<(usize, f64)> = Vec::new();
        let holders = (0..active.len())
            .map(|component| {
                let start = held.len();
                for (species, substance) in formed.iter().zip(first..) {
                    let of = terms[species.mass_terms.clone()].iter().filter(|(k, _)| *k == component);
                    held.extend(of.map(|(_, coefficient)| (substance, *coefficient)));
                }
                start..held.len()
            })
            .collect();
        let in_pairs = |number: usize| pairs.iter().any(|pair| pair.ions.contains(&(first + number)));
        let largest_in = |unknown: usize| {
            terms.iter().filter(|(of, _)| *of == unknown).fold(1.0_f64, |most, (_, nu)| most.max(*nu))
        };
        Equilibrium {
            largest_coefficients: (0..active.len()).map(largest_in).collect(),
            formed_pairs: (0..formed.len()).map(in_pairs).collect(),
            moving_pairs: pairs.iter().filter(|pair| pair.moves_with_strength()).count(),
            pairs,
            holders,
            held,
            squares: dissolved.iter().map(|(_, charge)| charge * charge).collect(),
            charges: dissolved.iter().map(|(_, charge)| *charge).collect(),
            volumes: None,
            listed: listed_order(component_names.len(), &active, &inert, formed.len()),
            component_names: component_names.to_vec(),
            component_charges: charges,
            species_names: possible.iter().map(|species| species.name.clone()).collect(),
            active,
            inert,
            formed,
            terms,
            activity,
            exactly: false,
            stop: Stop::default(),
        }
    }

    /// The same with totals per litre of solution at 25 degC instead of per kilogram of water.
    ///
    /// Components without a volume in the constants are taken to have none.
    pub fn per_litre(mut self, chemistry: &Chemistry) -> Self {
        let of = |name: &str| chemistry.volumes.get(name).copied().unwrap_or_default();
        let components = self.component_names.iter().map(|name| of(name)).collect();
        self.volumes = Some(Volumes::new(components, of(HYDROXIDE), self.component_charges.clone()));
        self
    }

    /// Water in a litre of these totals, mol/L, at 25 degC, kg; 1 where totals are per kilogram of water.
    pub fn water_kg_l(&self, totals_mol_l: &[f64]) -> f64 {
        let mut slopes = vec![0.0; totals_mol_l.len()];
        self.volumes.as_ref().map_or(1.0, |volumes| volumes.water(totals_mol_l, &mut slopes).kg_l)
    }

    /// The same, solved to rounding and not to what a bath needs: for differences between solutions that
    /// lie close to each other. Costs about a step more for each solution.
    pub fn solved_exactly(&self) -> Self {
        Equilibrium { exactly: true, ..self.clone() }
    }

    /// The same with log10 K of the species at a place among [`Equilibrium::species_names`] moved.
    pub fn with_log_k_moved(&self, place: usize, by: f64) -> Self {
        let mut moved = self.clone();
        moved.formed[place].constant = moved.formed[place].constant.moved(by);
        moved
    }

    /// What it heeds.
    pub fn stop(&self) -> &Stop {
        &self.stop
    }

    /// The same, that refuses to be solved once `stop` is asked to.
    pub fn heeding(self, stop: &Stop) -> Self {
        Equilibrium { stop: stop.clone(), ..self }
    }

    /// The species, by their place in [`Equilibrium::species_names`], whose constants tell it from another equilibrium of
    /// the same substances; `None` where more than that does.
    pub fn constants_moved_from(&self, other: &Equilibrium) -> Option<Vec<usize>> {
        let same = self.activity == other.activity
            && self.volumes == other.volumes
            && self.pairs == other.pairs
            && self.formed.len() == other.formed.len();
        let constants =
            self.formed.iter().zip(&other.formed).map(|(one, other)| one.constant == other.constant);
        same.then(|| constants.enumerate().filter(|(_, same)| !same).map(|(number, _)| number).collect())
    }

    /// ln K of a species, by its place in [`Equilibrium::species_names`], at a temperature, K.
    pub(crate) fn ln_k(&self, species: usize, temperature_k: f64) -> f64 {
        self.formed[species].constant.ln_k(temperature_k)
    }

    /// Names of the components, in the order of the totals.
    pub fn component_names(&self) -> &[String] {
        &self.component_names
    }

    /// Names of the species that form.
    pub fn species_names(&self) -> &[String] {
        &self.species_names
    }

    /// Charge numbers of the components.
    pub fn component_charges(&self) -> &[f64] {
        &self.component_charges
    }

    /// The activity model.
    pub fn activity(&self) -> Activity {
        self.activity
    }

    /// Place of the proton among the unknowns and among the dissolved substances.
    pub(super) fn proton(&self) -> usize {
        self.active.len()
    }

    /// Place of the ionic strength among the unknowns.
    pub(super) fn strength(&self) -> usize {
        self.active.len() + 1
    }

    /// Place of the first formed species among the dissolved substances.
    pub(super) fn first_formed(&self) -> usize {
        self.active.len() + 1
    }

    /// Ions interact in pairs; the activity of water is then an unknown too.
    pub(super) fn interacting(&self) -> bool {
        !self.pairs.is_empty()
    }

    /// Place of the ln of the water activity among the unknowns, where ions interact.
    pub(super) fn water(&self) -> usize {
        self.active.len() + 2
    }

    /// Number of unknowns that are always there; those of the felt ions follow.
    pub(super) fn lasting_unknowns(&self) -> usize {
        self.active.len() + 2 + usize::from(self.interacting())
    }

    /// Place of the first inert component among the dissolved substances.
    pub(super) fn first_inert(&self) -> usize {
        self.active.len() + 1 + self.formed.len()
    }

    /// Place of a component, by its position among the totals, among the dissolved substances.
    pub(super) fn substance(&self, position: usize) -> usize {
        self.listed[position]
    }

    /// Number of dissolved substances, in the order of [`super::Speciation::species`].
    pub fn substances(&self) -> usize {
        self.listed.len()
    }

    /// Names of the dissolved substances, in the order of [`super::Speciation::species`].
    pub fn substance_names(&self) -> impl Iterator<Item = &str> {
        let components = self.component_names.iter().map(String::as_str);
        components.chain([PROTON]).chain(self.species_names.iter().map(String::as_str))
    }

    /// What a dissolved substance, by its place in the order of [`super::Speciation::species`], is made of:
    /// (position among the totals, or the number of totals for the proton; how many). Water is left out.
    pub fn made_of(&self, substance: usize) -> Vec<(usize, f64)> {
        let proton = self.component_names.len();
        let Some(number) = substance.checked_sub(proton + 1) else { return vec![(substance, 1.0)] };
        let slot = |unknown: usize| self.active.get(unknown).copied().unwrap_or(proton);
        let terms = &self.terms[self.formed[number].terms.clone()];
        terms.iter().map(|(unknown, count)| (slot(*unknown), *count)).collect()
    }
}

/// Components in their own order, the proton, the formed species: as places among active components,
/// proton, formed species, inert components.
fn listed_order(components: usize, active: &[usize], inert: &[usize], formed: usize) -> Vec<usize> {
    let proton = active.len();
    let place = |position: usize| {
        let among_inert = || inert.iter().position(|p| *p == position).unwrap_or(0) + proton + 1 + formed;
        active.iter().position(|p| *p == position).unwrap_or_else(among_inert)
    };
    (0..components).map(place).chain(proton..=proton + formed).collect()
}
