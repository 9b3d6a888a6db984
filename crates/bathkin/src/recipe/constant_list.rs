//! The formation constants a recipe draws on, as a list to look through.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::{LN_10, REFERENCE_TEMPERATURE_K};
use crate::error::Result;
use crate::recipe::Recipe;
use crate::solution::{Chemistry, EquilibriumConstant, Evidence, Formula, Solid, Species, WidthClass};
use crate::source::Kind;

/// A formation constant with what is known about it.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Constant {
    /// Label a recipe chooses it by.
    pub label: String,
    /// log10 K at 25 degC and infinite dilution, molal.
    pub log_k_25c: f64,
    /// One standard deviation of log10 K.
    pub log_k_uncertainty: f64,
    /// What that rests on: stated with the constant, or its class.
    pub log_k_class: WidthClass,
    /// Enthalpy of formation from the components, kJ/mol; none for the law of water.
    pub enthalpy_kj_mol: Option<f64>,
    /// One standard deviation of the enthalpy, kJ/mol; none for the law of water.
    pub enthalpy_uncertainty_kj_mol: Option<f64>,
    /// What that rests on.
    pub enthalpy_class: Option<WidthClass>,
    /// Where the enthalpy comes from, where it has a source of its own, or that it is missing and counts as zero.
    pub enthalpy_source: Option<String>,
    /// How far the enthalpy is backed, where it has a source of its own.
    pub enthalpy_kind: Option<Kind>,
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
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct SpeciesConstant {
    /// Name, as used in recipes.
    pub name: String,
    /// Formula with charge.
    pub formula: String,
    /// (component, coefficient) of the formation reaction.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub forms_from: Vec<(String, f64)>,
    /// What its constants are switched together with.
    pub group: Option<String>,
    /// The constant in use.
    pub constant: Constant,
    /// The others; `species.NAME.constant = "LABEL"` (`solids.NAME.constant`) chooses one.
    pub alternatives: Vec<Constant>,
}

impl Recipe {
    /// The formation constants of the species that take part in this recipe's bath.
    ///
    /// ```
    /// use bathkin::{Recipe, Value};
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
        let equilibrium = &model.tank.bath.equilibrium;
        let speciation = equilibrium.speciation();
        let present: BTreeSet<&str> = speciation.species(equilibrium).map(|(name, _)| name).collect();
        let of_bath = |species: &&Species| present.contains(species.name.as_str());
        let taking_part = model.chemistry.species.iter().filter(of_bath);
        let listed = |one: &Species| {
            let known = (&one.constant, &one.evidence, one.alternatives.as_slice(), &one.group);
            listed(&model.chemistry, &one.name, &one.formula, &one.forms_from, known)
        };
        Ok(taking_part.map(listed).collect())
    }

    /// The formation constants of the solids that can fall out of this recipe's bath, in the same form.
    ///
    /// ```
    /// use bathkin::recipe::Recipe;
    /// let solids = Recipe::built_in("nickel-acid")?.solid_constants()?;
    /// let phosphite = solids.iter().find(|one| one.name == "nickel_phosphite").unwrap();
    /// assert_eq!(phosphite.constant.log_k_uncertainty, 0.25);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn solid_constants(&self) -> Result<Vec<SpeciesConstant>> {
        let model = self.model()?;
        let of_bath = |solid: &&Solid| model.tank.bath.solids.iter().any(|known| known.name == solid.name);
        let watched = model.chemistry.solids.iter().filter(of_bath);
        let listed = |one: &Solid| {
            let known = (&one.constant, &one.evidence, one.alternatives.as_slice(), &one.group);
            listed(&model.chemistry, &one.name, &one.formula, &one.forms_from, known)
        };
        Ok(watched.map(listed).collect())
    }
}

type KnownOf<'a> =
    (&'a EquilibriumConstant, &'a Evidence, &'a [(EquilibriumConstant, Evidence)], &'a Option<String>);

fn listed(
    chemistry: &Chemistry,
    name: &str,
    formula: &Formula,
    forms_from: &[(usize, f64)],
    (in_use, evidence, alternatives, group): KnownOf,
) -> SpeciesConstant {
    let of = |(index, count): &(usize, f64)| (chemistry.components[*index].name.clone(), *count);
    SpeciesConstant {
        name: name.to_owned(),
        formula: formula.text.clone(),
        forms_from: forms_from.iter().map(of).collect(),
        group: group.clone(),
        constant: constant(in_use, evidence),
        alternatives: alternatives.iter().map(|(k, known)| constant(k, known)).collect(),
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
    let enthalpy = known.enthalpy.as_ref();
    let source = enthalpy.and_then(|of| of.source.as_ref());
    let missing = enthalpy.filter(|of| of.missing).map(|_| "missing, taken as zero".to_owned());
    Constant {
        label: known.label.clone(),
        log_k_25c,
        log_k_uncertainty: known.log_k_width.value,
        log_k_class: known.log_k_width.class,
        enthalpy_kj_mol,
        enthalpy_uncertainty_kj_mol: enthalpy.map(|of| of.width_kj_mol.value),
        enthalpy_class: enthalpy.map(|of| of.width_kj_mol.class),
        enthalpy_source: source.map(|of| of.text.clone()).or(missing),
        enthalpy_kind: source.map(|of| of.kind),
        heat_capacity_j_mol_k,
        source: known.source.text.clone(),
        kind: known.source.kind,
        note: known.note.clone(),
    }
}
