//! The built-in constants and what a recipe adds to or changes in them.

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use crate::model::fields::{balanced, component, formula, stoichiometry};

use crate::document::declared::Declared;
use crate::document::reader::{Bounds, Reader, Role};
use crate::document::{Document, below};
use crate::error::Result;
use crate::model::constant_sets::check_set;
use crate::model::phases::read_phases;
use crate::model::roles::roles_at;
use crate::model::species::{one_species, source};
use crate::solution::chemistry::HYDROXIDE;
use crate::solution::{ApparentVolume, Chemistry, Component, Element, Formula, PairCoefficient, Reagent};

/// Tables of a recipe that extend the chemistry.
pub const TABLES: [&str; 10] = [
    "constants",
    "elements",
    "components",
    "species",
    "reagents",
    "sit",
    "volumes",
    "solids",
    "couples",
    "gases",
];

const FILES: [(&str, &str); 15] = [
    ("elements.toml", include_str!("../../data/elements.toml")),
    ("components.toml", include_str!("../../data/components.toml")),
    ("species_acids.toml", include_str!("../../data/species_acids.toml")),
    ("species_nickel.toml", include_str!("../../data/species_nickel.toml")),
    ("species_copper.toml", include_str!("../../data/species_copper.toml")),
    ("species_cobalt.toml", include_str!("../../data/species_cobalt.toml")),
    ("species_palladium.toml", include_str!("../../data/species_palladium.toml")),
    ("species_silver.toml", include_str!("../../data/species_silver.toml")),
    ("species_gold.toml", include_str!("../../data/species_gold.toml")),
    ("reagents.toml", include_str!("../../data/reagents.toml")),
    ("sit.toml", include_str!("../../data/sit.toml")),
    ("volumes.toml", include_str!("../../data/volumes.toml")),
    ("solids.toml", include_str!("../../data/solids.toml")),
    ("couples.toml", include_str!("../../data/couples.toml")),
    ("gases.toml", include_str!("../../data/gases.toml")),
];

/// The built-in constants, read once.
///
/// # Errors
/// Only when the embedded files are broken, which a test rules out.
pub fn built_in() -> Result<(&'static Document, &'static Chemistry)> {
    constants().map(|constants| (&constants.document, &*constants.chemistry))
}

fn constants() -> Result<&'static Arc<Constants>> {
    static BUILT_IN: OnceLock<Result<Arc<Constants>>> = OnceLock::new();
    BUILT_IN
        .get_or_init(|| read(Document::parse_all("constants", &FILES)?).map(Arc::new))
        .as_ref()
        .map_err(Clone::clone)
}

/// The chemistry of a recipe: the built-in constants with its own laid over them.
///
/// # Errors
/// [`crate::Error::Recipe`] and [`crate::Error::UnknownName`] for what cannot be used, with its place.
pub fn chemistry_for(recipe: &Document) -> Result<Arc<Chemistry>> {
    Ok(constants_for(recipe)?.chemistry.clone())
}

/// The same with the document it is read from.
///
/// # Errors
/// [`crate::Error::Recipe`] and [`crate::Error::UnknownName`] for what cannot be used, with its place.
pub(crate) fn constants_for(recipe: &Document) -> Result<Arc<Constants>> {
    let built_in = constants()?;
    if recipe.has_any(&TABLES) {
        read(built_in.document.overlaid(recipe, &TABLES)).map(Arc::new)
    } else {
        Ok(built_in.clone())
    }
}

/// A chemistry with the document it was read from.
#[derive(Debug)]
pub(crate) struct Constants {
    /// The document.
    pub(crate) document: Document,
    /// The numbers of that document.
    pub(crate) declared: Arc<Declared>,
    /// The chemistry.
    pub(crate) chemistry: Arc<Chemistry>,
}

impl Constants {
    /// The same with the species read again that moved numbers of a recipe are of; none where one is of something
    /// else.
    pub(crate) fn with_species(&self, recipe: &Document, moved: &[&str]) -> Result<Option<Constants>> {
        let mut names = BTreeSet::new();
        for path in moved {
            match path.strip_prefix("species.").and_then(|rest| rest.split('.').next()) {
                Some(name) => names.insert(name),
                None => return Ok(None),
            };
        }
        let document = self.document.overlaid(recipe, &TABLES);
        let mut chemistry = Chemistry::clone(&self.chemistry);
        let reader = Reader::again(&document, &self.declared);
        for name in names {
            let read = one_species(&reader, &self.chemistry, (*name).to_owned())?;
            if let Some(species) = chemistry.species.iter_mut().find(|species| species.name == *name) {
                *species = read;
            }
        }
        let chemistry = Arc::new(chemistry);
        Ok(Some(Constants { declared: self.declared.clone(), chemistry, document }))
    }
}

fn read(document: Document) -> Result<Constants> {
    let reader = Reader::new(&document);
    reader.role(Role::Constant);
    let mut chemistry = Chemistry::default();
    for symbol in document.children("elements") {
        let path = format!("elements.{symbol}.atomic_weight");
        let weight = reader.number(&path, Bounds::POSITIVE)?;
        source(&reader, &below("elements", &symbol))?;
        let element = Element::new(&symbol)
            .ok_or_else(|| reader.refuse(&path, "a table named by an element symbol", None))?;
        chemistry.atomic_weights.insert(element, weight);
    }
    for name in document.children("components") {
        let table = below("components", &name);
        let formula = formula(&reader, &table)?;
        let title = reader.optional_text(&below(&table, "title"))?.unwrap_or(&name).to_owned();
        let caution = reader.optional_text(&below(&table, "caution"))?.map(str::to_owned);
        let roles = roles_at(&reader, &below(&table, "role"))?.unwrap_or_default();
        chemistry.components.push(Component { name, title, formula, caution, roles });
    }
    for name in document.children("species") {
        let species = one_species(&reader, &chemistry, name)?;
        chemistry.species.push(species);
    }
    for name in document.children("reagents") {
        let reagent = one_reagent(&reader, &chemistry, name)?;
        chemistry.reagents.push(reagent);
    }
    for key in document.children("sit") {
        let pair = one_pair(&reader, &key)?;
        chemistry.interactions.push(pair);
    }
    for name in document.children("volumes") {
        let table = below("volumes", &name);
        let charge = if name == HYDROXIDE {
            -1.0
        } else {
            let index = component(&reader, &chemistry, &below(&table, "a_cm3_mol"), &name)?;
            chemistry.components[index].formula.charge
        };
        let volume = ApparentVolume {
            a_cm3_mol: reader.number(&below(&table, "a_cm3_mol"), Bounds::ANY)?,
            b_cm3_kg05_mol15: reader.number_or(&below(&table, "b_cm3_kg05_mol15"), Bounds::ANY, 0.0)?,
            form_charge: reader.number_or(&below(&table, "form_charge"), Bounds::ANY, charge)?,
        };
        source(&reader, &table)?;
        reader.optional_text(&below(&table, "note"))?;
        chemistry.volumes.insert(name, volume);
    }
    read_phases(&reader, &mut chemistry)?;
    check_set(&reader, &chemistry)?;
    let declared = Arc::new(reader.finish()?.declared);
    Ok(Constants { declared, chemistry: Arc::new(chemistry), document })
}

fn one_pair(reader: &Reader, key: &str) -> Result<PairCoefficient> {
    const COEFFICIENT: Bounds =
        Bounds::between(-5.0, 5.0, "an interaction coefficient between -5 and 5 kg/mol");
    let table = below("sit", key);
    let path = |name: &str| below(&table, name);
    let ion = |name: &str, sign: f64| -> Result<String> {
        let formula = Formula::parse(reader.text(&path(name))?)
            .map_err(|what| reader.refuse(&path(name), "the formula of an ion", Some(what)))?;
        if formula.charge * sign > 0.0 {
            Ok(formula.text)
        } else {
            Err(reader.refuse(
                &path(name),
                &format!("an ion that is {} {name}", if sign > 0.0 { "a" } else { "an" }),
                None,
            ))
        }
    };
    let pair = PairCoefficient {
        cation: ion("cation", 1.0)?,
        anion: ion("anion", -1.0)?,
        epsilon_kg_mol: reader.number(&path("epsilon_kg_mol"), COEFFICIENT)?,
        epsilon_log_i_kg_mol: reader.number_or(&path("epsilon_log_i_kg_mol"), COEFFICIENT, 0.0)?,
        temperature_slope_kg_mol_k: reader.number_or(
            &path("temperature_slope_kg_mol_k"),
            COEFFICIENT,
            0.0,
        )?,
        excludes_species: reader.list(&path("excludes_species"))?,
    };
    source(reader, &table)?;
    reader.optional_text(&path("note"))?;
    Ok(pair)
}

fn one_reagent(reader: &Reader, chemistry: &Chemistry, name: String) -> Result<Reagent> {
    let table = below("reagents", &name);
    let formula = formula(reader, &table)?;
    let gives = stoichiometry(reader, chemistry, &below(&table, "gives"))?;
    balanced(reader, chemistry, &below(&table, "formula"), &gives, &formula)?;
    let molar_mass_g_mol = formula.molar_mass_g_mol(&chemistry.atomic_weights).map_err(|what| {
        reader.refuse(&below(&table, "formula"), "elements with an atomic weight", Some(what))
    })?;
    Ok(Reagent {
        title: reader.optional_text(&below(&table, "title"))?.unwrap_or(&name).to_owned(),
        hydrate_of: reader.optional_text(&below(&table, "hydrate_of"))?.map(str::to_owned),
        name,
        formula,
        gives,
        molar_mass_g_mol,
    })
}
