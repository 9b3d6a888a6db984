//! Formulas, stoichiometries and components as constants and recipes write them.

use crate::document::below;
use crate::document::reader::{Bounds, Reader};
use crate::error::{Error, Result};
use crate::solution::{Chemistry, Formula};

pub(crate) fn formula(reader: &Reader, table: &str) -> Result<Formula> {
    let path = below(table, "formula");
    Formula::parse(reader.text(&path)?).map_err(|what| reader.refuse(&path, "a chemical formula", Some(what)))
}

pub(crate) fn balanced(
    reader: &Reader,
    chemistry: &Chemistry,
    path: &str,
    parts: &[(usize, f64)],
    formula: &Formula,
) -> Result<()> {
    chemistry
        .check_balance(parts, formula)
        .map_err(|what| reader.refuse(path, "a formula that its components add up to", Some(what)))
}

/// (component index, number) of a table of components.
pub(crate) fn stoichiometry(
    reader: &Reader,
    chemistry: &Chemistry,
    table: &str,
) -> Result<Vec<(usize, f64)>> {
    reader
        .numbers_under(table, Bounds::ANY)?
        .into_iter()
        .map(|(name, number)| Ok((component(reader, chemistry, &below(table, &name), &name)?, number)))
        .collect()
}

/// Index of a component named at a path.
pub(crate) fn component(reader: &Reader, chemistry: &Chemistry, path: &str, name: &str) -> Result<usize> {
    chemistry.component(name).ok_or_else(|| {
        let valid = chemistry.components.iter().map(|component| component.name.as_str());
        Error::unknown_name(reader.place(path), "component", name, valid)
    })
}
