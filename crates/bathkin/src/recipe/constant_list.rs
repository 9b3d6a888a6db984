//! The formation constants a recipe draws on, as a list to look through.

use std::collections::BTreeSet;

use serde::Serialize;

use super::Recipe;
use crate::constants::{LN_10, REFERENCE_TEMPERATURE_K};
use crate::error::Result;
use crate::solution::chemistry::Evidence;
use crate::solution::{EquilibriumConstant, Kind, Species};

/// A formation constant with what is known about it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Constant {
    /// Label a recipe chooses it by.
    pub label: String,
    /// log10 K at 25 degC and infinite dilution, molal.
    pub log_k_25c: f64,
    /// Uncertainty of log10 K as the source states it.
    pub log_k_uncertainty: Option<f64>,
    /// Enthalpy of formation from the components, kJ/mol; none for the law of water.
    pub enthalpy_kj_mol: Option<f64>,
    /// Heat capacity of that reaction, J/(mol K); none for the law of water.
    pub heat_capacity_j_mol_k: Option<f64>,
    /// Where it comes from.
    pub source: String,
    /// How far it is backed.
    pub kind: Kind,
    /// Traps, and why this value rather than another.
    pub note: Option<String>,
}

/// A species of a bath with the constant in use and the others there are for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpeciesConstant {
    /// Name, as used in recipes.
    pub name: String,
    /// Formula with charge.
    pub formula: String,
    /// (component, coefficient) of the formation reaction.
    pub forms_from: Vec<(String, f64)>,
    /// The constant in use.
    #[serde(flatten)]
    pub constant: Constant,
    /// The others; `species.NAME.constant = "LABEL"` chooses one.
    pub alternatives: Vec<Constant>,
}

impl Recipe {
    /// The formation constants of the species that take part in this recipe's bath.
    ///
    /// ```
    /// use bathkin::recipe::{Recipe, Value};
    /// let recipe = Recipe::built_in("nickel-acid")?;
    /// let disputed = |recipe: &Recipe| -> bathkin::error::Result<f64> {
    ///     let constants = recipe.constants()?;
    ///     Ok(constants.iter().find(|one| one.name == "dihydrogen_phosphite").unwrap().constant.log_k_25c)
    /// };
    /// assert_eq!(disputed(&recipe)?, 6.7);
    /// let chosen = Value::Text("hkf".to_owned());
    /// let other = recipe.with("species.dihydrogen_phosphite.constant", chosen, "example");
    /// assert_eq!(disputed(&other)?, 6.121);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn constants(&self) -> Result<Vec<SpeciesConstant>> {
        let model = self.model()?;
        let equilibrium = &model.tank.equilibrium;
        let speciation = equilibrium.speciation();
        let present: BTreeSet<&str> = speciation.species(equilibrium).map(|(name, _)| name).collect();
        let components = &model.chemistry.components;
        let listed = |species: &Species| SpeciesConstant {
            name: species.name.clone(),
            formula: species.formula.text.clone(),
            forms_from: species
                .forms_from
                .iter()
                .map(|(index, count)| (components[*index].name.clone(), *count))
                .collect(),
            constant: constant(&species.constant, &species.evidence),
            alternatives: species.alternatives.iter().map(|(k, known)| constant(k, known)).collect(),
        };
        let taking_part =
            model.chemistry.species.iter().filter(|species| present.contains(species.name.as_str()));
        Ok(taking_part.map(listed).collect())
    }
}

fn constant(of: &EquilibriumConstant, known: &Evidence) -> Constant {
    let ln_k: f64 = of.ln_k(REFERENCE_TEMPERATURE_K);
    let (log_k_25c, enthalpy_kj_mol, heat_capacity_j_mol_k) = match *of {
        EquilibriumConstant::VantHoff { log_k_25c, enthalpy_kj_mol, heat_capacity_j_mol_k } => {
            (log_k_25c, Some(enthalpy_kj_mol), Some(heat_capacity_j_mol_k))
        }
        EquilibriumConstant::Water => (ln_k / LN_10, None, None),
    };
    Constant {
        label: known.label.clone(),
        log_k_25c,
        log_k_uncertainty: known.log_k_uncertainty,
        enthalpy_kj_mol,
        heat_capacity_j_mol_k,
        source: known.source.text.clone(),
        kind: known.source.kind,
        note: known.note.clone(),
    }
}
