//! Half-reactions and rate laws as a recipe writes them.

use super::constants::stoichiometry;
use super::reader::{Bounds, Reader};
use super::slots::Slots;
use crate::constants::ZERO_CELSIUS_K;
use crate::error::{Error, Result};
use crate::solution::{Chemistry, Element, Elements};
use crate::surface::{
    Arrhenius, Concentration, Drive, Factor, HalfReaction, Inhibition, InhibitionForm, Order, PhOrder,
    RateLaw, Saturation,
};

/// The half-reactions, checked for element and charge balance.
pub(super) fn read_half_reactions(reader: &Reader, chemistry: &Chemistry) -> Result<Vec<HalfReaction>> {
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

pub(super) fn atoms(reader: &Reader, chemistry: &Chemistry, table: &str) -> Result<Elements> {
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
pub(super) fn half_reaction_drive(reader: &Reader, slots: &Slots, name: &str) -> Result<Drive> {
    let table = format!("half_reaction.{name}");
    let law = reader.optional_text(&format!("{table}.law"))?;
    let selectivity = reader.optional_text(&format!("{table}.selectivity"))?;
    let closes = reader.truth_or(&format!("{table}.closes"), false)?;
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
pub(super) fn read_law(reader: &Reader, slots: &Slots, table: &str, value_key: &str) -> Result<RateLaw> {
    let path = |key: &str| format!("{table}.{key}");
    let mut factors = Vec::new();
    if let Some(energy) = reader.optional(
        &path("activation_energy_kj_mol"),
        Bounds::between(-300.0, 300.0, "an activation energy between -300 and 300 kJ/mol (kJ, not J)"),
    )? {
        let reference = reader.number(
            &path("reference_temperature_c"),
            Bounds::between(0.0, 100.0, "a reference temperature between 0 and 100 degC"),
        )?;
        factors.push(Factor::Arrhenius(Arrhenius {
            activation_energy_kj_mol: energy,
            reference_temperature_k: reference + ZERO_CELSIUS_K,
        }));
    }
    if let Some(decades_per_ph) =
        reader.optional(&path("ph_order"), Bounds::between(-5.0, 5.0, "decades per pH between -5 and 5"))?
    {
        let reference_ph =
            reader.number(&path("reference_ph"), Bounds::between(0.0, 14.0, "a pH between 0 and 14"))?;
        factors.push(Factor::PhOrder(PhOrder { decades_per_ph, reference_ph }));
    }
    for (name, order) in
        reader.numbers_under(&path("order"), Bounds::between(-5.0, 5.0, "an order between -5 and 5"))?
    {
        let of = concentration(reader, slots, &path(&format!("order.{name}")), &path("basis"), &name)?;
        let reference_mol_l = reader.number(&path(&format!("reference_mol_l.{name}")), Bounds::POSITIVE)?;
        factors.push(Factor::Order(Order { of, order, reference_mol_l }));
    }
    for name in reader.document().children(&path("saturation")) {
        let inner = |key: &str| path(&format!("saturation.{name}.{key}"));
        factors.push(Factor::Saturation(Saturation {
            of: concentration(reader, slots, &inner("constant_mol_l"), &path("basis"), &name)?,
            constant_mol_l: reader.number(&inner("constant_mol_l"), Bounds::POSITIVE)?,
            reference_mol_l: reader.number_or(&inner("reference_mol_l"), Bounds::POSITIVE, f64::INFINITY)?,
        }));
    }
    for name in reader.document().children(&path("inhibition")) {
        let inner = |key: &str| path(&format!("inhibition.{name}.{key}"));
        let of = concentration(reader, slots, &inner("constant_mol_l"), &path("basis"), &name)?;
        let forms =
            [("exponential", InhibitionForm::Exponential), ("hyperbolic", InhibitionForm::Hyperbolic)];
        factors.push(Factor::Inhibition(Inhibition {
            of,
            form: reader.choice(&inner("form"), &forms)?,
            constant_mol_l: reader.number(&inner("constant_mol_l"), Bounds::POSITIVE)?,
            exponent: reader.number_or(
                &inner("exponent"),
                Bounds::between(-5.0, 5.0, "an exponent between -5 and 5"),
                1.0,
            )?,
        }));
    }
    Ok(RateLaw { value_at_reference: reader.number(&path(value_key), Bounds::NOT_NEGATIVE)?, factors })
}

/// The concentration a law names: a component (`basis.<name>` says whether in total or free) or any
/// other dissolved substance of the bath.
fn concentration(
    reader: &Reader,
    slots: &Slots,
    path: &str,
    basis: &str,
    name: &str,
) -> Result<Concentration> {
    if let Some(component) = slots.names.iter().position(|known| known == name) {
        let total = reader.choice(&format!("{basis}.{name}"), &[("total", true), ("free", false)])?;
        return Ok(if total { Concentration::Total(component) } else { Concentration::Dissolved(component) });
    }
    slots.dissolved(reader, path, name).map(Concentration::Dissolved)
}
