//! A species of a document: its formation constant, and the other constants it may be given.
//!
//! Two read sources often differ. The species holds the one in use by default; what others say stands
//! beside it under `alternatives`, each with its source and the reason for or against it, and
//! `species.NAME.constant = "LABEL"` chooses one. A species that is a sum of steps moves with its
//! steps: labels of the same name belong together.

use super::constants::{balanced, formula, stoichiometry};
use super::document::Value;
use super::reader::{Bounds, Reader};
use crate::error::{Error, Result};
use crate::solution::chemistry::{DEFAULT_CONSTANT, Evidence};
use crate::solution::{Chemistry, EquilibriumConstant, Kind, Source, Species};

const ALTERNATIVES: &str = "alternatives";

/// The species of a table `species.NAME`.
pub(super) fn one_species(reader: &Reader, chemistry: &Chemistry, name: String) -> Result<Species> {
    let table = format!("species.{name}");
    let formula = formula(reader, &table)?;
    let forms_from = stoichiometry(reader, chemistry, &format!("{table}.forms_from"))?;
    balanced(reader, chemistry, &format!("{table}.formula"), &forms_from, &formula)?;
    let mut constants = vec![one_constant(reader, &table, DEFAULT_CONSTANT)?];
    for label in reader.document().children(&format!("{table}.{ALTERNATIVES}")) {
        let path = format!("{table}.{ALTERNATIVES}.{label}");
        if label == DEFAULT_CONSTANT {
            return Err(reader.refuse(&path, "a label other than that of the species' own constant", None));
        }
        constants.push(one_constant(reader, &path, &label)?);
    }
    let chosen = chosen(reader, &table, &constants)?;
    let (constant, evidence) = constants.remove(chosen);
    Ok(Species { name, formula, forms_from, constant, evidence, alternatives: constants })
}

/// Which of the constants of a species is in use.
fn chosen(reader: &Reader, table: &str, constants: &[(EquilibriumConstant, Evidence)]) -> Result<usize> {
    let path = format!("{table}.constant");
    let Some(label) = reader.optional_text(&path)? else { return Ok(0) };
    let labels = || constants.iter().map(|(_, evidence)| evidence.label.as_str());
    let found = labels().position(|known| known == label).ok_or_else(|| {
        Error::unknown_name(reader.place(&path), &format!("constant of {table}"), label, labels())
    })?;
    // A number of the user's own that the choice leaves unused was not meant so.
    if found > 0 && constants[0].1.source.kind == Kind::User {
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
fn one_constant(reader: &Reader, table: &str, label: &str) -> Result<(EquilibriumConstant, Evidence)> {
    let constant = match reader.optional_text(&format!("{table}.law"))? {
        Some("iapws-r11-07") => EquilibriumConstant::Water,
        Some(_) => {
            return Err(reader.refuse(
                &format!("{table}.law"),
                "iapws-r11-07, or no law and a log_k_25c",
                None,
            ));
        }
        None => van_t_hoff(reader, table)?,
    };
    let evidence = Evidence {
        label: label.to_owned(),
        log_k_uncertainty: reader.optional(&format!("{table}.log_k_uncertainty"), Bounds::NOT_NEGATIVE)?,
        note: reader.optional_text(&format!("{table}.note"))?.map(str::to_owned),
        source: source(reader, table)?,
    };
    Ok((constant, evidence))
}

/// `log_k_25c`, `enthalpy_kj_mol` and `heat_capacity_j_mol_k` of a table.
pub(super) fn van_t_hoff(reader: &Reader, table: &str) -> Result<EquilibriumConstant> {
    // A note in place of a number says why the number is not there.
    reader.optional_text(&format!("{table}.enthalpy"))?;
    Ok(EquilibriumConstant::VantHoff {
        log_k_25c: reader.number(
            &format!("{table}.log_k_25c"),
            Bounds::between(-100.0, 100.0, "a log10 K between -100 and 100"),
        )?,
        enthalpy_kj_mol: reader.number_or(
            &format!("{table}.enthalpy_kj_mol"),
            Bounds::between(-500.0, 500.0, "an enthalpy between -500 and 500 kJ/mol"),
            0.0,
        )?,
        heat_capacity_j_mol_k: reader.number_or(
            &format!("{table}.heat_capacity_j_mol_k"),
            Bounds::between(-3000.0, 3000.0, "a heat capacity between -3000 and 3000 J/(mol K)"),
            0.0,
        )?,
    })
}

/// Source and kind of a table.
pub(super) fn source(reader: &Reader, table: &str) -> Result<Source> {
    let path = format!("{table}.kind");
    let text = reader.text(&format!("{table}.source"))?.to_owned();
    let kind = Kind::parse(reader.text(&path)?)
        .ok_or_else(|| reader.refuse(&path, &format!("one of {}", Kind::NAMES.join(", ")), None))?;
    // A number changed from elsewhere (a recipe, an override) no longer has the source beside it.
    let home = reader.place(&format!("{table}.source")).file;
    let elsewhere = format!("{table}.{ALTERNATIVES}.");
    let changed = reader.document().under(table).into_iter().find(|entry| {
        matches!(entry.value, Value::Number(_))
            && entry.place.file != home
            && !entry.path.starts_with(&elsewhere)
    });
    Ok(match changed {
        Some(entry) => {
            Source { text: format!("{} set by {}; was: {text}", entry.path, entry.place), kind: Kind::User }
        }
        None => Source { text, kind },
    })
}
