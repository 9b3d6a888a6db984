//! The chemistry a bath is made of: components, species and the reagents an operator weighs out.

use std::collections::BTreeMap;

use super::database::{Couple, Gas, PairCoefficient, Solid};
use super::density::ApparentVolume;
use super::equilibrium_constant::EquilibriumConstant;
use super::evidence::Evidence;
use super::formula::{Element, Elements, Formula, add};
use super::role::Role;

/// Name of the proton among the components.
pub const PROTON: &str = "proton";
/// Name under which the volume of hydroxide stands, which is no component.
pub const HYDROXIDE: &str = "hydroxide";
/// Name of the solvent among the components.
pub const WATER: &str = "water";

/// A basis substance; its total is what balances count.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Name, as used in recipes.
    pub name: String,
    /// Name for people.
    pub title: String,
    /// Formula with charge.
    pub formula: Formula,
    /// What to beware of, said with every bath that holds it.
    pub caution: Option<String>,
    /// What it is for in a bath, unless the recipe says otherwise.
    pub roles: Vec<Role>,
}

/// A dissolved substance formed from components.
#[derive(Debug, Clone, PartialEq)]
pub struct Species {
    /// Name, as used in recipes.
    pub name: String,
    /// Formula with charge.
    pub formula: Formula,
    /// (component index, coefficient) of the formation reaction.
    pub forms_from: Vec<(usize, f64)>,
    /// What its constants are switched together with: one label for all of a group.
    pub group: Option<String>,
    /// Formation constant.
    pub constant: EquilibriumConstant,
    /// What is known about the constant.
    pub evidence: Evidence,
    /// The other constants there are for it, by label; a recipe may choose one.
    pub alternatives: Vec<(EquilibriumConstant, Evidence)>,
}

/// Label of the constant a species has when a recipe chooses none.
pub const DEFAULT_CONSTANT: &str = "default";

/// Something weighed or poured into a bath.
#[derive(Debug, Clone, PartialEq)]
pub struct Reagent {
    /// Name, as used in recipes, with its hydrate.
    pub name: String,
    /// Name for people.
    pub title: String,
    /// Formula, neutral.
    pub formula: Formula,
    /// (component index, moles per mole of reagent).
    pub gives: Vec<(usize, f64)>,
    /// Molar mass, g/mol.
    pub molar_mass_g_mol: f64,
    /// For salts sold in several hydrates: the bare name, which is refused.
    pub hydrate_of: Option<String>,
}

/// Everything a recipe can draw on.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Chemistry {
    /// Components; the proton and water are among them.
    pub components: Vec<Component>,
    /// Species.
    pub species: Vec<Species>,
    /// Reagents.
    pub reagents: Vec<Reagent>,
    /// Solids that can fall out.
    pub solids: Vec<Solid>,
    /// Redox couples with pure solids.
    pub couples: Vec<Couple>,
    /// Gases that a bath exchanges with the air.
    pub gases: Vec<Gas>,
    /// Atomic weights, g/mol.
    pub atomic_weights: BTreeMap<Element, f64>,
    /// Interaction coefficients of pairs of ions.
    pub interactions: Vec<PairCoefficient>,
    /// Apparent molar volumes by component name.
    pub volumes: BTreeMap<String, ApparentVolume>,
}

impl Chemistry {
    /// Index of a component by name.
    pub fn component(&self, name: &str) -> Option<usize> {
        self.components.iter().position(|component| component.name == name)
    }

    /// A reagent by name.
    pub fn reagent(&self, name: &str) -> Option<&Reagent> {
        self.reagents.iter().find(|reagent| reagent.name == name)
    }

    /// The named hydrates of a salt given without one.
    pub fn hydrates_of(&self, bare: &str) -> Vec<&str> {
        self.reagents
            .iter()
            .filter(|reagent| reagent.hydrate_of.as_deref() == Some(bare))
            .map(|reagent| reagent.name.as_str())
            .collect()
    }

    /// Elements and charge of a combination of components.
    pub fn sum(&self, parts: &[(usize, f64)]) -> (Elements, f64) {
        let mut elements = Elements::new();
        let mut charge = 0.0;
        for (index, count) in parts {
            let formula = &self.components[*index].formula;
            add(&mut elements, &formula.elements, *count);
            charge += formula.charge * count;
        }
        (elements, charge)
    }

    /// Says what is out of balance between a combination of components and a formula.
    ///
    /// # Errors
    /// A sentence naming the element (or the charge) and both sides.
    pub fn check_balance(&self, parts: &[(usize, f64)], formula: &Formula) -> Result<(), String> {
        let (elements, charge) = self.sum(parts);
        differences(&elements, &formula.elements, charge, formula.charge)
            .map_or(Ok(()), |what| Err(format!("{}: {what}", formula.text)))
    }
}

/// The first element, or the charge, that differs between two sides; `None` when they balance.
pub fn differences(left: &Elements, right: &Elements, left_charge: f64, right_charge: f64) -> Option<String> {
    const ROUND_OFF: f64 = 1e-9;
    let count = |side: &Elements, element: &Element| side.get(element).copied().unwrap_or(0.0);
    for element in left.keys().chain(right.keys()) {
        let (a, b) = (count(left, element), count(right, element));
        if (a - b).abs() > ROUND_OFF {
            return Some(format!("{element} does not balance ({a} against {b})"));
        }
    }
    ((left_charge - right_charge).abs() > ROUND_OFF)
        .then(|| format!("the charge does not balance ({left_charge} against {right_charge})"))
}
