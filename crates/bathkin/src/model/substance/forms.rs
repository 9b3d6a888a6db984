//! What a component may be weighed as: itself, with protons, or as a salt.

use crate::solution::chemistry::{PROTON, WATER};
use crate::solution::{Chemistry, Formula};

/// A substance that stands for a component when it is weighed.
#[derive(Debug, Clone, PartialEq, schemars::JsonSchema, serde::Serialize)]
pub struct Form {
    /// Its formula in small letters, as names end in it: `na2hpo3_5h2o`.
    pub key: String,
    /// Its formula.
    pub formula: String,
    /// Grams of it for a mole of the component, g/mol.
    pub g_mol: f64,
    /// The reagent it is; none for an ion, or a salt that is not on the shelf.
    pub reagent: Option<String>,
}

/// Forms in use that are neither component, dissolved substance nor reagent: component, key, formula.
const FURTHER: [(&str, &str, &str); 4] = [
    ("orthophosphite", "nah2po3", "NaH2PO3"),
    ("formate", "hcoo", "CHO2-"),
    ("formate", "hcooh", "CH2O2"),
    ("formate", "hcoona", "NaCHO2"),
];

/// Every form of a component: the ion itself first, then reagents, then what it is with protons.
pub(crate) fn forms(chemistry: &Chemistry, own: &[&str], component: usize) -> Vec<Form> {
    let of = &chemistry.components[component];
    let mut found: Vec<Form> = Vec::new();
    let mut add = |key: Option<String>, formula: &Formula, per_component: f64, reagent: Option<&str>| {
        let (Some(key), Ok(g_mol)) = (key, formula.molar_mass_g_mol(&chemistry.atomic_weights)) else {
            return;
        };
        if !found.iter().any(|known| known.key == key) {
            let (formula, reagent) = (formula.text.clone(), reagent.map(str::to_owned));
            found.push(Form { key, formula, g_mol: g_mol / per_component, reagent });
        }
    };
    add(key(&of.formula), &of.formula, 1.0, None);
    for reagent in &chemistry.reagents {
        if let Some((_, moles)) = crate::model::substance::bought_for(chemistry, own, reagent)
            .filter(|(found, _)| *found == component)
        {
            add(key(&reagent.formula), &reagent.formula, moles, Some(&reagent.name));
        }
    }
    let of_it_alone = |forms_from: &[(usize, f64)]| {
        let name = |index: usize| chemistry.components[index].name.as_str();
        forms_from.iter().all(|(index, _)| *index == component || [PROTON, WATER].contains(&name(*index)))
    };
    for species in chemistry.species.iter().filter(|species| of_it_alone(&species.forms_from)) {
        let count = species.forms_from.iter().find(|(index, _)| *index == component);
        if let Some((_, count)) = count {
            add(key(&species.formula), &species.formula, *count, None);
        }
    }
    for (_, key, formula) in FURTHER.iter().filter(|(name, ..)| *name == of.name) {
        if let Ok(formula) = Formula::parse(formula) {
            add(Some((*key).to_owned()), &formula, 1.0, None);
        }
    }
    found
}

/// A form by its key.
pub(crate) fn form(chemistry: &Chemistry, component: usize, key: &str) -> Option<Form> {
    forms(chemistry, &[], component).into_iter().find(|form| form.key == key)
}

/// A formula as names end in it: small letters, without its charge; none for one with parentheses.
fn key(formula: &Formula) -> Option<String> {
    let neutral = formula.text.split(['+', '-']).next().unwrap_or_default();
    (!neutral.contains('(')).then(|| neutral.to_lowercase().replace('.', "_"))
}
