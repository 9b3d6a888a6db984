//! Constants that are switched together.
//!
//! `constants.set = "LABEL"`, or several labels (a list, or with commas), puts the alternatives of that label in use wherever
//! there are any, solids included. A number set by hand and `species.NAME.constant` stand above it. Species and solids that name one `group` rest on each other:
//! a complex on the acid it is a step of, the step of an acid on the one before. Where they do not all use one label, the
//! bath is a mixture that no source stands for, and a flag says so.

use std::collections::BTreeMap;

use crate::document::Value;
use crate::document::reader::Reader;
use crate::error::{Error, Result};
use crate::flag::Flag;
use crate::solution::chemistry::DEFAULT_CONSTANT;
use crate::solution::{BathSolid, Chemistry, Equilibrium, EquilibriumConstant, Evidence};
use crate::source::Kind;

const SET: &str = "constants.set";

/// The labels a document puts in use.
pub(crate) fn set_labels(reader: &Reader) -> Result<Vec<String>> {
    match reader.entry(SET).map(|entry| &entry.value) {
        Some(Value::List(labels)) => Ok(labels.clone()),
        _ => {
            let labels = reader.optional_text(SET)?.into_iter().flat_map(|text| text.split(','));
            Ok(labels.map(|label| label.trim().to_owned()).collect())
        }
    }
}

/// What has a constant that may be switched.
struct Switched<'a> {
    /// Name of a species, `solids.NAME` of a solid.
    name: String,
    group: Option<&'a str>,
    evidence: &'a Evidence,
    alternatives: &'a [(EquilibriumConstant, Evidence)],
}

impl Switched<'_> {
    fn has(&self, label: &str) -> bool {
        self.evidence.label == label || self.alternatives.iter().any(|(_, other)| other.label == label)
    }
}

fn every(chemistry: &Chemistry) -> Vec<Switched<'_>> {
    let species = chemistry.species.iter().map(|species| Switched {
        name: species.name.clone(),
        group: species.group.as_deref(),
        evidence: &species.evidence,
        alternatives: &species.alternatives,
    });
    let solids = chemistry.solids.iter().map(|solid| Switched {
        name: format!("solids.{}", solid.name),
        group: solid.group.as_deref(),
        evidence: &solid.evidence,
        alternatives: &solid.alternatives,
    });
    species.chain(solids).collect()
}

/// Refuses a label that no constant has.
pub(crate) fn check_set(reader: &Reader, chemistry: &Chemistry) -> Result<()> {
    let all = every(chemistry);
    let labels = |one: &Switched| -> Vec<String> {
        let others = one.alternatives.iter().map(|(_, other)| other.label.clone());
        others.chain([one.evidence.label.clone()]).collect()
    };
    match set_labels(reader)?.into_iter().find(|label| !all.iter().any(|one| one.has(label))) {
        None => Ok(()),
        Some(label) => {
            let mut known: Vec<String> = all.iter().flat_map(labels).collect();
            known.sort_unstable();
            known.dedup();
            let known = known.iter().map(String::as_str);
            Err(Error::unknown_name(reader.place(SET), "label of constants", &label, known))
        }
    }
}

/// Groups of constants that are switched in part, and a set that nothing of the bath is in.
pub(crate) fn warnings(
    reader: &Reader,
    chemistry: &Chemistry,
    equilibrium: &Equilibrium,
    solids: &[BathSolid],
) -> Result<Vec<Flag>> {
    let mut present = every(chemistry);
    present.retain(|one| match one.name.strip_prefix("solids.") {
        Some(solid) => solids.iter().any(|known| known.name == solid),
        None => equilibrium.species_names().contains(&one.name),
    });
    let mut flags = Vec::new();
    for label in set_labels(reader)? {
        if !present.iter().any(|one| one.has(&label)) {
            let what = format!("no constant of this bath has the label {label}: nothing changes");
            flags.push(Flag { r#where: SET.to_owned(), what });
        }
    }
    let mut groups: BTreeMap<&str, Vec<&Switched>> = BTreeMap::new();
    for one in present.iter().filter(|one| one.evidence.source.kind != Kind::User) {
        if let Some(group) = one.group {
            groups.entry(group).or_default().push(one);
        }
    }
    flags.extend(groups.into_iter().filter_map(|(group, members)| mixed(group, &members)));
    Ok(flags)
}

/// What is said of a group whose members do not use one label.
fn mixed(group: &str, members: &[&Switched]) -> Option<Flag> {
    let mut by_label: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for member in members {
        by_label.entry(&member.evidence.label).or_default().push(&member.name);
    }
    if by_label.len() < 2 {
        return None;
    }
    let used: Vec<String> =
        by_label.iter().map(|(label, names)| format!("`{label}` for {}", names.join(", "))).collect();
    let chosen = by_label.keys().filter(|label| **label != DEFAULT_CONSTANT);
    let whole = chosen.into_iter().find(|label| members.iter().all(|member| member.has(label)));
    let advice = match whole {
        Some(label) => format!("constants.set = \"{label}\" switches all of them"),
        None => "no label has all of them".to_owned(),
    };
    Some(Flag {
        r#where: format!("constants.{group}"),
        what: format!("constants that belong together are mixed: {}; {advice}", used.join("; ")),
    })
}
