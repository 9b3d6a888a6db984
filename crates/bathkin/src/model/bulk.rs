//! Reactions of the liquid as a recipe writes them: `[bulk_reaction.<name>]`.

use crate::document::reader::{Reader, Role};
use crate::document::slot::Slot;
use crate::error::Result;
use crate::model::fields::stoichiometry;
use crate::model::laws::{atoms, read_law};
use crate::model::slots::Slots;
use crate::solution::chemistry::differences;
use crate::solution::formula::add;
use crate::solution::{Chemistry, Element, Elements};
use crate::tank::BulkReaction;

pub(crate) const TABLE: &str = "bulk_reaction";

/// A reaction of the liquid before the bath has slots.
#[derive(Debug, Clone)]
pub(crate) struct BulkEquation {
    name: String,
    /// (component, moles made).
    pub(crate) liquid: Vec<(usize, f64)>,
    /// Atoms leaving as gas.
    pub(crate) gas: Elements,
    /// Atoms falling out.
    pub(crate) solid: Elements,
}

/// The equations, checked for element and charge balance.
pub(crate) fn read_bulk_equations(reader: &Reader, chemistry: &Chemistry) -> Result<Vec<BulkEquation>> {
    reader
        .document()
        .children(TABLE)
        .into_iter()
        .map(|name| {
            let table = format!("{TABLE}.{name}");
            let equation = BulkEquation {
                liquid: stoichiometry(reader, chemistry, &format!("{table}.liquid"))?,
                gas: atoms(reader, chemistry, &format!("{table}.gas"))?,
                solid: atoms(reader, chemistry, &format!("{table}.solid"))?,
                name,
            };
            let (mut made, charge) = chemistry.sum(&equation.liquid);
            add(&mut made, &equation.gas, 1.0);
            add(&mut made, &equation.solid, 1.0);
            match differences(&made, &Elements::new(), charge, 0.0) {
                None => Ok(equation),
                Some(what) => Err(reader.refuse(
                    &table,
                    "a reaction whose elements and charge balance",
                    Some(format!("{table}: {what}")),
                )),
            }
        })
        .collect()
}

/// The reactions with their laws, resolved to the slots of the bath.
pub(crate) fn read_bulk_reactions(
    reader: &Reader,
    slots: &Slots,
    equations: &[BulkEquation],
    evolved: &[Element],
    settled: &[Element],
) -> Result<Vec<BulkReaction<Slot>>> {
    let resolve = |equation: &BulkEquation| {
        Ok(BulkReaction {
            law: reader.with_role(Role::LawOfLiquid, || {
                read_law(reader, slots, &format!("{TABLE}.{}", equation.name), "rate_mol_l_s")
            })?,
            liquid: equation.liquid.iter().map(|(index, n)| (slots.liquid_slot(*index), *n)).collect(),
            gas: crate::model::contents::indexed(evolved, &equation.gas),
            solid: crate::model::contents::indexed(settled, &equation.solid),
            name: equation.name.clone(),
        })
    };
    equations.iter().map(resolve).collect()
}
