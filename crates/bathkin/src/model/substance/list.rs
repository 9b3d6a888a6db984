//! Every substance with its molar mass and the names that say it.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

use crate::model::substance::forms::{Form, forms};
use crate::model::substance::{bought_for, is_solvent, weighed_as_itself};
use crate::solution::Chemistry;

/// A reagent.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ReagentEntry {
    /// Name, with its hydrate.
    pub name: String,
    /// Name for people.
    pub title: String,
    /// Formula.
    pub formula: String,
    /// Molar mass, g/mol.
    pub molar_mass_g_mol: f64,
    /// Moles of each component that a mole of it brings.
    pub gives: BTreeMap<String, f64>,
    /// The component it is bought for; an analysis by its name means that one.
    pub bought_for: Option<String>,
    /// The names that say it, each with a unit.
    pub spellings: Vec<String>,
}

/// A component of baths.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ComponentEntry {
    /// Name.
    pub name: String,
    /// Name for people.
    pub title: String,
    /// Formula with charge.
    pub formula: String,
    /// Molar mass, g/mol.
    pub molar_mass_g_mol: f64,
    /// Whether grams of it mean itself.
    pub weighed_as_itself: bool,
    /// What else it may be weighed as.
    pub forms: Vec<Form>,
    /// The names that say it, each with a unit.
    pub spellings: Vec<String>,
}

/// Reagents and components.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Reagents {
    /// What is weighed out.
    pub reagents: Vec<ReagentEntry>,
    /// What balances count.
    pub components: Vec<ComponentEntry>,
}

/// Something weighed or poured into a bath, or a component that analyses are of.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "Reagent")]
pub struct Substance {
    /// Name, a salt with its water of crystallisation.
    pub name: String,
    /// Name for people.
    pub title: String,
    /// Formula, with its charge.
    pub formula: String,
    /// Molar mass, g/mol.
    pub molar_mass_g_mol: f64,
    /// Moles of each component that a mole brings; empty for a component.
    pub gives: BTreeMap<String, f64>,
    /// The component an analysis by its name means, or none where it may mean several.
    pub bought_for: Option<String>,
    /// Names with a unit that say it in recipes, `--set`, `--now`, logs, runs, limits.
    pub spellings: Vec<String>,
    /// Whether it is a component, an ion or a molecule in the bath.
    pub is_component: bool,
}

impl Reagents {
    /// All of them as one list, reagents first.
    pub fn substances(self) -> Vec<Substance> {
        let of_reagent = |one: ReagentEntry| Substance {
            name: one.name,
            title: one.title,
            formula: one.formula,
            molar_mass_g_mol: one.molar_mass_g_mol,
            gives: one.gives,
            bought_for: one.bought_for,
            spellings: one.spellings,
            is_component: false,
        };
        let of_component = |one: ComponentEntry| Substance {
            bought_for: Some(one.name.clone()),
            name: one.name,
            title: one.title,
            formula: one.formula,
            molar_mass_g_mol: one.molar_mass_g_mol,
            gives: BTreeMap::new(),
            spellings: one.spellings,
            is_component: true,
        };
        let components = self.components.into_iter().map(of_component);
        self.reagents.into_iter().map(of_reagent).chain(components).collect()
    }
}

/// Every reagent and component of a chemistry, with molar masses and spellings.
///
/// `own` are metal, reductant and by-product of a recipe, or none: see [`bought_for`].
pub fn reagents(chemistry: &Chemistry, own: &[&str]) -> Reagents {
    let name = |index: usize| chemistry.components[index].name.clone();
    let all_units = |name: &str| ["_g_l", "_mg_l", "_mol_l"].map(|ending| format!("{name}{ending}"));
    let reagents = chemistry.reagents.iter().map(|reagent| {
        let bought = bought_for(chemistry, own, reagent);
        let mut spellings = all_units(&reagent.name).to_vec();
        let form = bought.and_then(|(component, _)| {
            let forms = forms(chemistry, own, component);
            let form = forms.into_iter().find(|form| form.reagent.as_ref() == Some(&reagent.name))?;
            Some(format!("{}_g_l_as_{}", name(component), form.key))
        });
        spellings.extend(form);
        ReagentEntry {
            name: reagent.name.clone(),
            title: reagent.title.clone(),
            formula: reagent.formula.text.clone(),
            molar_mass_g_mol: reagent.molar_mass_g_mol,
            gives: reagent.gives.iter().map(|(index, moles)| (name(*index), *moles)).collect(),
            bought_for: bought.map(|(component, _)| name(component)),
            spellings,
        }
    });
    let components = chemistry.components.iter().enumerate().filter(|(_, of)| !is_solvent(&of.name));
    let components = components.map(|(index, of)| {
        let forms = forms(chemistry, own, index);
        let as_itself = weighed_as_itself(chemistry, index).is_some();
        let mut spellings = vec![format!("{}_mol_l", of.name), format!("{}_mmol_l", of.name)];
        if as_itself {
            spellings.extend(["_g_l", "_mg_l"].map(|ending| format!("{}{ending}", of.name)));
        }
        spellings.extend(forms.iter().map(|form| format!("{}_g_l_as_{}", of.name, form.key)));
        ComponentEntry {
            name: of.name.clone(),
            title: of.title.clone(),
            formula: of.formula.text.clone(),
            molar_mass_g_mol: of.formula.molar_mass_g_mol(&chemistry.atomic_weights).unwrap_or(f64::NAN),
            weighed_as_itself: as_itself,
            forms,
            spellings,
        }
    });
    Reagents { reagents: reagents.collect(), components: components.collect() }
}
