//! What has a formation constant in a document: its constant, and the other constants it may be given.
//!
//! Two read sources often differ. The table holds the one in use by default; what others say stands
//! beside it under `alternatives`, each with its source and the reason for or against it.
//! `species.NAME.constant = "LABEL"` chooses one (solids alike), `constants.set = "LABEL"` chooses the alternatives of that label
//! everywhere: labels of one name within a `group` belong together ([`crate::model::constant_sets`]).

use crate::document::reader::{Bounds, Reader};
use crate::document::{Entry, Value, below};
use crate::error::{Error, Result};
use crate::model::constant_sets::set_labels;
use crate::model::fields::{balanced, formula, stoichiometry};
use crate::solution::chemistry::DEFAULT_CONSTANT;
use crate::solution::{
    Chemistry, EnthalpyEvidence, EquilibriumConstant, Evidence, Species, Width, WidthClass,
};
use crate::source::{Kind, Source};

const ALTERNATIVES: &str = "alternatives";
/// The numbers of a van 't Hoff constant, in the order of [`EquilibriumConstant::slopes`].
const NUMBERS: [&str; 3] = ["log_k_25c", "enthalpy_kj_mol", "heat_capacity_j_mol_k"];

/// A constant with what is known about it.
type Known = (EquilibriumConstant, Evidence);

/// The constants of a table.
pub(crate) struct Constants {
    /// The one in use.
    pub constant: EquilibriumConstant,
    /// What is known about it.
    pub evidence: Evidence,
    /// The others.
    pub alternatives: Vec<Known>,
    /// What they are switched together with.
    pub group: Option<String>,
}

/// The species of a table `species.NAME`.
pub(crate) fn one_species(reader: &Reader, chemistry: &Chemistry, name: String) -> Result<Species> {
    let table = below("species", &name);
    let formula = formula(reader, &table)?;
    let forms_from = stoichiometry(reader, chemistry, &below(&table, "forms_from"))?;
    balanced(reader, chemistry, &below(&table, "formula"), &forms_from, &formula)?;
    let Constants { constant, evidence, alternatives, group } = constants_of(reader, &table)?;
    Ok(Species { name, formula, forms_from, group, constant, evidence, alternatives })
}

/// The constants of a table `species.NAME` or `solids.NAME`.
pub(crate) fn constants_of(reader: &Reader, table: &str) -> Result<Constants> {
    let mut constants = vec![one_constant(reader, table, DEFAULT_CONSTANT)?];
    for label in reader.document().children(&below(table, ALTERNATIVES)) {
        let path = format!("{table}.{ALTERNATIVES}.{label}");
        if label == DEFAULT_CONSTANT {
            return Err(reader.refuse(&path, "a label other than that of the table's own constant", None));
        }
        constants.push(one_constant(reader, &path, &label)?);
    }
    let group = reader.optional_text(&below(table, "group"))?.map(str::to_owned);
    let chosen = chosen(reader, table, &constants)?;
    let (constant, evidence) = constants.remove(chosen);
    Ok(Constants { constant, evidence, alternatives: constants, group })
}

/// Which of the constants of a table is in use: the one it names, else that of the set, else its own.
fn chosen(reader: &Reader, table: &str, constants: &[Known]) -> Result<usize> {
    let path = below(table, "constant");
    let own = constants[0].1.source.kind == Kind::User;
    let labels = || constants.iter().map(|(_, evidence)| evidence.label.as_str());
    let Some(label) = reader.optional_text(&path)? else {
        let wanted = set_labels(reader)?;
        let of_set = labels().position(|known| wanted.iter().any(|label| label == known));
        // A number of the user's own stands above a set.
        return Ok(of_set.filter(|_| !own).unwrap_or(0));
    };
    let found = labels().position(|known| known == label).ok_or_else(|| {
        Error::unknown_name(reader.place(&path), &format!("constant of {table}"), label, labels())
    })?;
    // A number of the user's own that the choice leaves unused was not meant so.
    if found > 0 && own {
        let hint = constants[0].1.source.text.clone();
        return Err(reader.refuse(
            &path,
            &format!("\"{DEFAULT_CONSTANT}\" beside a number of your own, or no such number"),
            Some(hint),
        ));
    }
    Ok(found)
}

/// The constant in a table, with what is known about it.
fn one_constant(reader: &Reader, table: &str, label: &str) -> Result<Known> {
    let constant = match reader.optional_text(&below(table, "law"))? {
        Some("iapws-r11-07") => EquilibriumConstant::Water,
        Some(_) => {
            return Err(reader.refuse(&below(table, "law"), "iapws-r11-07, or no law and a log_k_25c", None));
        }
        None => van_t_hoff(reader, table)?,
    };
    Ok((constant, evidence(reader, table, label)?))
}

/// What is known about the constant of a table.
fn evidence(reader: &Reader, table: &str, label: &str) -> Result<Evidence> {
    let source = source(reader, table)?;
    let path = below(table, "width_class");
    let class = match reader.optional_text(&path)? {
        None => WidthClass::of(written_kind(reader, table)?),
        Some(name) => WidthClass::parse(name).ok_or_else(|| {
            Error::unknown_name(reader.place(&path), "class of widths", name, WidthClass::names())
        })?,
    };
    // A number of the user's own no longer has the class that was argued for the one before.
    let of_log_k = if replaced(reader, table, "log_k_25c") { WidthClass::of(Kind::User) } else { class };
    let log_k_uncertainty = stated(reader, table, "log_k_uncertainty", "log_k_25c")?;
    let law = reader.entry(&below(table, "law")).is_some();
    Ok(Evidence {
        label: label.to_owned(),
        log_k_width: Width::of_log_k(log_k_uncertainty, of_log_k),
        enthalpy: (!law).then(|| enthalpy(reader, table, class)).transpose()?,
        note: reader.optional_text(&below(table, "note"))?.map(str::to_owned),
        source,
    })
}

/// What the enthalpy of a table rests on; without a source of its own it has the class of the constant.
fn enthalpy(reader: &Reader, table: &str, class: WidthClass) -> Result<EnthalpyEvidence> {
    let entry = reader.entry(&below(table, "enthalpy_kj_mol"));
    let source = entry.and_then(|entry| entry.source.clone());
    let class = match (entry, &source) {
        (None, _) => WidthClass::Assumed,
        (_, Some(source)) => WidthClass::of(source.kind),
        _ if replaced(reader, table, "enthalpy_kj_mol") => WidthClass::of(Kind::User),
        _ => class,
    };
    let stated = stated(reader, table, "enthalpy_uncertainty_kj_mol", "enthalpy_kj_mol")?;
    Ok(EnthalpyEvidence { source, missing: entry.is_none(), width_kj_mol: Width::of_enthalpy(stated, class) })
}

/// A width stated for a number, unless it belongs to the number that stood there before.
fn stated(reader: &Reader, table: &str, width: &str, of: &str) -> Result<Option<f64>> {
    let given = reader.optional(&below(table, width), Bounds::NOT_NEGATIVE)?;
    Ok(given.filter(|_| !replaced(reader, table, of) || replaced(reader, table, width)))
}

/// True for a number from elsewhere (a recipe, an override) than the source beside it.
fn replaced(reader: &Reader, table: &str, key: &str) -> bool {
    let entry = reader.entry(&below(table, key));
    entry.is_some_and(|entry| entry.place.file != file_of(reader, table))
}

/// The file in which the source of a table stands.
fn file_of(reader: &Reader, table: &str) -> String {
    reader.place(&below(table, "source")).file
}

/// The species whose constant in use the number at a path is of, and its place among those of a constant.
pub(crate) fn number_in_use<'a>(chemistry: &'a Chemistry, path: &str) -> Option<(&'a Species, usize)> {
    let (table, key) = path.strip_prefix("species.")?.rsplit_once('.')?;
    let number = NUMBERS.iter().position(|known| *known == key)?;
    let (name, rest) = table.split_once('.').unwrap_or((table, ""));
    let label = match rest.split_once('.') {
        Some((ALTERNATIVES, label)) => label,
        _ => DEFAULT_CONSTANT,
    };
    let in_use = |species: &&Species| species.name == name && species.evidence.label == label;
    chemistry.species.iter().find(in_use).map(|species| (species, number))
}

/// The numbers of a constant in a table.
pub(crate) fn van_t_hoff(reader: &Reader, table: &str) -> Result<EquilibriumConstant> {
    let [log_k, enthalpy, heat_capacity] = NUMBERS.map(|key| below(table, key));
    Ok(EquilibriumConstant::VantHoff {
        log_k_25c: reader.number(&log_k, Bounds::between(-100.0, 100.0, "a log10 K between -100 and 100"))?,
        enthalpy_kj_mol: reader.number_or(
            &enthalpy,
            Bounds::between(-500.0, 500.0, "an enthalpy between -500 and 500 kJ/mol").linear(),
            0.0,
        )?,
        heat_capacity_j_mol_k: reader.number_or(
            &heat_capacity,
            Bounds::between(-3000.0, 3000.0, "a heat capacity between -3000 and 3000 J/(mol K)"),
            0.0,
        )?,
    })
}

/// The kind a table names.
fn written_kind(reader: &Reader, table: &str) -> Result<Kind> {
    let path = below(table, "kind");
    Kind::parse(reader.text(&path)?)
        .ok_or_else(|| reader.refuse(&path, &format!("one of {}", Kind::NAMES.join(", ")), None))
}

/// Source and kind of a table.
pub(crate) fn source(reader: &Reader, table: &str) -> Result<Source> {
    let text = reader.text(&below(table, "source"))?.to_owned();
    let kind = written_kind(reader, table)?;
    // A number changed from elsewhere (a recipe, an override) no longer has the source beside it.
    let home = file_of(reader, table);
    let elsewhere = format!("{table}.{ALTERNATIVES}.");
    let changed = |entry: &&Entry| {
        matches!(entry.value, Value::Number(_))
            && entry.place.file != home
            && !entry.path.starts_with(&elsewhere)
            // A width is no other constant.
            && !entry.path.contains("_uncertainty")
    };
    Ok(match reader.document().under(table).find(changed) {
        Some(entry) => {
            Source { text: format!("{} set by {}; was: {text}", entry.path, entry.place), kind: Kind::User }
        }
        None => Source { text, kind },
    })
}
