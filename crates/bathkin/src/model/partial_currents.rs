//! Partial currents of a mixed potential as a recipe writes them, and which of the two routes a recipe takes.

use crate::constants::{FARADAY_C_MOL, GAS_CONSTANT_J_MOL_K, LN_10, REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use crate::document::reader::{Bounds, Reader, Role};
use crate::document::slot::Slot;
use crate::error::Result;
use crate::model::factors::{REFERENCE_PH, REFERENCE_TEMPERATURE, concentration};
use crate::model::laws::{half_reaction_drive, read_law};
use crate::model::slots::Slots;
use crate::solution::chemistry::{PROTON, WATER};
use crate::surface::{
    BackReaction, Concentration, HalfReaction, Kinetics, PartialCurrent, ReferencePotential, Shift, Shifter,
    Transport,
};
use bathkin_numerics::short;

/// 1 mA/cm² in A/m².
const A_M2_PER_MA_CM2: f64 = 10.0;
const PER_MILLI: f64 = 1e-3;
const POTENTIAL: Bounds =
    Bounds::between(-2.5, 2.5, "a potential between -2.5 and 2.5 V against the standard hydrogen electrode")
        .linear();
const TRANSFER: Bounds = Bounds::between(0.05, 3.0, "a transfer coefficient between 0.05 and 3").linear();

/// The kinetics of a recipe: rate laws, or a partial current for every half-reaction.
pub(crate) fn read_kinetics(
    reader: &Reader,
    slots: &Slots,
    half_reactions: &[HalfReaction],
    metal: &str,
) -> Result<Kinetics<Slot>> {
    let reactions = half_reactions.to_vec();
    let named = |key: &str, name: &str| format!("half_reaction.{name}.{key}");
    let has = |key: &str, name: &str| reader.document().get(&named(key, name)).is_some();
    let Some(first) = half_reactions.iter().find(|reaction| has("partial_current", &reaction.name)) else {
        let drives = half_reactions
            .iter()
            .map(|reaction| half_reaction_drive(reader, slots, &reaction.name))
            .collect::<Result<Vec<_>>>()?;
        return Kinetics::new(reactions, drives).map_err(|what| {
            reader.refuse("half_reaction", "one law and one closure among the half-reactions", Some(what))
        });
    };
    let mut partials = Vec::new();
    for reaction in half_reactions {
        let name = &reaction.name;
        let other = ["law", "selectivity", "closes"].into_iter().find(|key| has(key, name));
        if let Some(path) = other.map(|key| named(key, name)) {
            let hint = format!(
                "{} has a partial current: laws and partial currents do not mix in one recipe",
                first.name
            );
            return Err(reader.refuse(&path, "partial_current = \"table\" in its place", Some(hint)));
        }
        let path = named("partial_current", name);
        let Some(table) = reader.optional_text(&path)? else {
            let hint = format!("{} has one, so every half-reaction needs one", first.name);
            return Err(reader.refuse(&path, "partial_current = \"table\"", Some(hint)));
        };
        partials.push(read_partial_current(reader, slots, reaction, table)?);
    }
    let metal = deposits(reader, slots, half_reactions, metal)?;
    Kinetics::at_mixed_potential(reactions, partials, metal).map_err(|what| {
        reader.refuse("half_reaction", "partial currents that can balance each other's electrons", Some(what))
    })
}

/// The one half-reaction that deposits the metal.
fn deposits(reader: &Reader, slots: &Slots, reactions: &[HalfReaction], metal: &str) -> Result<usize> {
    let takes = |reaction: &HalfReaction| {
        let of_metal =
            |(index, moles): &(usize, f64)| *moles < 0.0 && slots.chemistry.components[*index].name == metal;
        !reaction.deposit.is_empty() && reaction.liquid.iter().any(of_metal)
    };
    let mut found = (0..reactions.len()).filter(|at| takes(&reactions[*at]));
    match (found.next(), found.next()) {
        (Some(at), None) => Ok(at),
        _ => {
            let expected = format!("exactly one half-reaction that takes {metal} and leaves a deposit");
            Err(reader.refuse("half_reaction", &expected, None))
        }
    }
}

fn read_partial_current(
    reader: &Reader,
    slots: &Slots,
    reaction: &HalfReaction,
    table: &str,
) -> Result<PartialCurrent<Slot>> {
    let path = |key: &str| format!("{table}.{key}");
    let has = |key: &str| reader.entry(&path(key)).is_some() && !reader.is_off(&path(key));
    let reversible = match (has("exchange_current_ma_cm2"), has("current_ma_cm2")) {
        (true, false) => true,
        (false, true) => false,
        _ => {
            let expected = "either exchange_current_ma_cm2 with standard_potential_v_she, or current_ma_cm2 \
                            at reference_potential_v_she";
            return Err(reader.refuse(table, expected, None));
        }
    };
    let (value, potential) = if reversible {
        ("exchange_current_ma_cm2", "standard_potential_v_she")
    } else {
        ("current_ma_cm2", "reference_potential_v_she")
    };
    let mut current = read_law(reader, slots, table, value)?;
    current.value_at_reference = current.value_at_reference * A_M2_PER_MA_CM2;
    let transfer_coefficient = read_transfer_coefficient(reader, table)?;
    let slope = Bounds::between(-5.0, 5.0, "a potential slope between -5 and 5 mV/K");
    let slope_mv_k = if reversible {
        reader.slot_or(&path("potential_slope_mv_k"), slope, 0.0)?
    } else {
        Slot::fixed(0.0)
    };
    Ok(PartialCurrent {
        current,
        transfer_coefficient,
        reference: ReferencePotential {
            at_25c_v: potential_of(reader, &path(potential), reversible)?,
            slope_v_k: slope_mv_k * PER_MILLI,
        },
        back: reversible
            .then(|| read_back(reader, slots, reaction, table, transfer_coefficient))
            .transpose()?,
        transport: read_transport(reader, slots, reaction, table)?,
    })
}

/// The potential of a branch; where it has no back reaction any potential does, with the current at it.
fn potential_of(reader: &Reader, path: &str, standard: bool) -> Result<Slot> {
    let role = if standard { Role::Law } else { Role::Reference };
    reader.with_role(role, || reader.slot(path, POTENTIAL))
}

/// alpha, as such or as a Tafel slope at the reference temperature.
fn read_transfer_coefficient(reader: &Reader, table: &str) -> Result<Slot> {
    let path = |key: &str| format!("{table}.{key}");
    let alpha = reader.optional_slot(&path("transfer_coefficient"), TRANSFER)?;
    let slope = reader.optional(
        &path("tafel_slope_mv_decade"),
        Bounds::between(20.0, 1000.0, "a Tafel slope between 20 and 1000 mV per decade"),
    )?;
    match (alpha, slope) {
        (Some(alpha), None) => Ok(alpha),
        (None, Some(slope)) => {
            let celsius = reader.reference(&path("reference_temperature_c"), REFERENCE_TEMPERATURE)?;
            let volts = GAS_CONSTANT_J_MOL_K * (celsius + ZERO_CELSIUS_K) / FARADAY_C_MOL;
            Ok(Slot::fixed(LN_10 * volts / (slope * PER_MILLI)))
        }
        _ => {
            let expected = "either transfer_coefficient or tafel_slope_mv_decade";
            Err(reader.refuse(&path("transfer_coefficient"), expected, None))
        }
    }
}

/// What the equilibrium potential depends on follows from the half-reaction itself: free components and
/// the proton, water at unit activity.
fn read_back(
    reader: &Reader,
    slots: &Slots,
    reaction: &HalfReaction,
    table: &str,
    forward: Slot,
) -> Result<BackReaction<Slot>> {
    let path = |key: &str| format!("{table}.{key}");
    let electrons = reaction.electrons.abs();
    let transfer_coefficient = match reader.optional_slot(&path("back_transfer_coefficient"), TRANSFER)? {
        Some(back) => back,
        None if electrons - forward.value > 0.0 => {
            // What it may be depends on the other: no slot.
            reader.optional(&path("transfer_coefficient"), TRANSFER)?;
            Slot::fixed(electrons - forward.value)
        }
        None => {
            let hint = format!(
                "{electrons} electrons less {} leave nothing for the back reaction",
                short(forward.value)
            );
            return Err(reader.refuse(&path("back_transfer_coefficient"), "a number above zero", Some(hint)));
        }
    };
    let mut shifts = Vec::new();
    for (index, made) in &reaction.liquid {
        let shift = match slots.chemistry.components[*index].name.as_str() {
            WATER => continue,
            PROTON => {
                let ph = reader.reference(&path("reference_ph"), REFERENCE_PH)?;
                Shift { of: Shifter::Proton, moles: -made, ln_reference: -ph * LN_10 }
            }
            name => {
                let key = path(&format!("reference_free_mol_l.{name}"));
                let free = Concentration::Dissolved(slots.named(reader, &key, name)?);
                let reference = reader.reference(&key, Bounds::POSITIVE)?;
                Shift { of: Shifter::Of(free), moles: -made, ln_reference: reference.ln() }
            }
        };
        shifts.push(shift);
    }
    Ok(BackReaction { transfer_coefficient, electrons, shifts })
}

/// Bounds of the temperature a transfer coefficient is given at.
const GIVEN_AT: Bounds = Bounds::between(0.0, 100.0, "a temperature between 0 and 100 degC").linear();

fn read_transport(
    reader: &Reader,
    slots: &Slots,
    reaction: &HalfReaction,
    table: &str,
) -> Result<Option<Transport<Slot>>> {
    let within = format!("{table}.transport");
    let names = reader.document().children(&within);
    let Some(name) = names.first() else { return Ok(None) };
    let path = format!("{within}.{name}.coefficient_m_s");
    let given_at = format!("{within}.{name}.coefficient_temperature_c");
    let used = reaction
        .liquid
        .iter()
        .find(|(index, made)| *made < 0.0 && slots.chemistry.components[*index].name == *name)
        .filter(|_| name != PROTON && name != WATER && names.len() == 1);
    let Some((_, made)) = used else {
        let expected = "one component that this half-reaction uses";
        return Err(reader.refuse(&path, expected, Some(format!("half-reaction {}", reaction.name))));
    };
    let of = concentration(reader, slots, &path, &format!("{table}.basis"), name)?;
    Ok(Some(Transport {
        of,
        coefficient_m_s: reader.slot(&path, Bounds::POSITIVE)?,
        coefficient_temperature_k: reader.number_or(
            &given_at,
            GIVEN_AT,
            REFERENCE_TEMPERATURE_K - ZERO_CELSIUS_K,
        )? + ZERO_CELSIUS_K,
        electrons_per_mole: (reaction.electrons / made).abs(),
    }))
}
