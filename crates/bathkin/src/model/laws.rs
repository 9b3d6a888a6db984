//! Half-reactions and rate laws as a recipe writes them.

use crate::document::reader::{Bounds, Reader};
use crate::document::slot::Slot;
use crate::error::{Error, Result};
use crate::model::factors::read_factors;
use crate::model::fields::stoichiometry;
use crate::model::slots::Slots;
use crate::solution::{Chemistry, Element, Elements};
use crate::surface::{Drive, HalfReaction, RateLaw};

/// Keys of a half-reaction that name the table of its law.
pub(crate) const LAWS: [&str; 3] = ["law", "selectivity", "branch"];

/// The half-reactions, checked for element and charge balance.
pub(crate) fn read_half_reactions(reader: &Reader, chemistry: &Chemistry) -> Result<Vec<HalfReaction>> {
    let names = reader.document().children("half_reaction");
    if names.is_empty() {
        return Err(reader.refuse("half_reaction", "tables [half_reaction.<name>]", None));
    }
    names
        .into_iter()
        .map(|name| {
            let table = format!("half_reaction.{name}");
            let reaction = HalfReaction {
                liquid: stoichiometry(reader, chemistry, &format!("{table}.liquid"))?,
                deposit: atoms(reader, chemistry, &format!("{table}.deposit"))?,
                gas: atoms(reader, chemistry, &format!("{table}.gas"))?,
                electrons: reader.number(&format!("{table}.electrons"), Bounds::ANY)?,
                name,
            };
            reaction.check_balance(chemistry).map_err(|what| {
                reader.refuse(
                    &format!("{table}.electrons"),
                    "a half-reaction whose elements and charge balance",
                    Some(what),
                )
            })?;
            Ok(reaction)
        })
        .collect()
}

pub(crate) fn atoms(reader: &Reader, chemistry: &Chemistry, table: &str) -> Result<Elements> {
    reader
        .numbers_under(table, Bounds::NOT_NEGATIVE)?
        .into_iter()
        .map(|(symbol, number)| {
            Element::new(&symbol)
                .filter(|element| chemistry.atomic_weights.contains_key(element))
                .map_or_else(
                    || {
                        let valid: Vec<String> =
                            chemistry.atomic_weights.keys().map(Element::symbol).collect();
                        let place = reader.place(&format!("{table}.{symbol}"));
                        Err(Error::unknown_name(place, "element", &symbol, valid.iter().map(String::as_str)))
                    },
                    |element| Ok((element, number)),
                )
        })
        .collect()
}

/// What drives a half-reaction: `law`, `selectivity`, or `closes = true`.
pub(crate) fn half_reaction_drive(reader: &Reader, slots: &Slots, name: &str) -> Result<Drive<Slot>> {
    let table = format!("half_reaction.{name}");
    let law = reader.optional_text(&format!("{table}.law"))?;
    let selectivity = reader.optional_text(&format!("{table}.selectivity"))?;
    let closes = reader.boolean_or(&format!("{table}.closes"), false)?;
    match (law, selectivity, closes) {
        (Some(law), None, false) => Ok(Drive::Law(read_law(reader, slots, law, "rate_mol_m2_s")?)),
        (None, Some(law), false) => Ok(Drive::PerMetal(read_law(reader, slots, law, "per_metal_mol")?)),
        (None, None, true) => Ok(Drive::Closure),
        _ => Err(reader.refuse(
            &table,
            "exactly one of law = \"table\", selectivity = \"table\" or closes = true",
            None,
        )),
    }
}

/// A reference-state law from its table; `value_key` holds the value at the reference.
pub(crate) fn read_law(
    reader: &Reader,
    slots: &Slots,
    table: &str,
    value_key: &str,
) -> Result<RateLaw<Slot>> {
    let factors = read_factors(reader, slots, table)?;
    let value_at_reference = reader.slot(&format!("{table}.{value_key}"), Bounds::NOT_NEGATIVE)?;
    Ok(RateLaw { value_at_reference, factors })
}
