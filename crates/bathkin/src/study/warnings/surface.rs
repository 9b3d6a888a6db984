//! What a surface does in a bath or a life that is not believed, in words.

use crate::constants::{GAS_MOLAR_VOLUME_25C_L_MOL, SECONDS_PER_HOUR};
use crate::deposit::{warning_of_metalloid, warning_of_rate};
use crate::document::{Document, Value};
use crate::flag::Flag;
use crate::life::Life;
use crate::model::bulk::TABLE as BULK;
use crate::model::deposit::dissolving;
use crate::model::laws::LAWS;
use crate::study::reasons::words::{molar, spoken};
use crate::surface::mixed_potential::{HIGHEST_POTENTIAL_V, LOWEST_POTENTIAL_V};
use crate::tank::{BathState, HeldOrder, Quantity, Tank};

const PARTIAL_CURRENTS: &str = "half_reaction";

/// Words for partial currents that cancel nowhere.
pub(crate) fn no_potential() -> String {
    format!(
        "the partial currents cancel nowhere between {LOWEST_POTENTIAL_V} and {HIGHEST_POTENTIAL_V} V SHE: every rate is \
         taken as zero"
    )
}

/// Words for a surface that takes hydrogen up.
fn takes_hydrogen_up() -> String {
    "the surface takes hydrogen up and does not give it off: its partial current runs backwards, on gas that nobody brings"
        .to_owned()
}

/// Path of the order in the recipe, and what is doubtful.
fn of_order(document: &Document, held: &HeldOrder) -> (String, String) {
    let named = LAWS.iter().find_map(|key| {
        match &document.get(&format!("{PARTIAL_CURRENTS}.{}.{key}", held.reaction))?.value {
            Value::Text(table) => Some(table.clone()),
            _ => None,
        }
    });
    let table = named.unwrap_or_else(|| format!("{BULK}.{}", held.reaction));
    let what = format!(
        "{} is {}; this negative order says nothing below {} and is read there",
        spoken(&held.substance),
        molar(held.mol_l),
        molar(held.held_at_mol_l)
    );
    (format!("{table}.order.{}", held.substance), what)
}

/// The column of the alloy, and the warning about it where it is phosphorus or boron.
fn of_alloy(tank: &Tank, wt_pct: f64) -> Option<(String, String)> {
    let metalloid = |element: &usize| ["P", "B"].contains(&tank.bath.deposited[*element].symbol().as_str());
    let warning =
        tank.bath.alloy_elements.iter().all(metalloid).then(|| warning_of_metalloid(wt_pct)).flatten();
    Some((Quantity::alloy(tank)?.name(tank), warning?))
}

/// Warnings about the surface in a bath.
pub(crate) fn of_bath(document: &Document, tank: &Tank, observed: &BathState) -> Vec<Flag> {
    let rate = Quantity::DEPOSITION_UM_H.name(tank);
    let mut flags = Vec::new();
    let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
    if let Some(what) = warning_of_rate(observed.growth_um_s * SECONDS_PER_HOUR) {
        flag(&rate, what);
    }
    if let Some((column, what)) = of_alloy(tank, observed.alloy_wt_pct) {
        flag(&column, what);
    }
    let hydrogen = observed.hydrogen_mol_m2_s(tank) * GAS_MOLAR_VOLUME_25C_L_MOL * SECONDS_PER_HOUR;
    if hydrogen < 0.0 {
        flag(PARTIAL_CURRENTS, format!("{hydrogen:.3} L/(m2 h): {}", takes_hydrogen_up()));
    }
    for held in observed.held_orders(tank) {
        let (place, what) = of_order(document, &held);
        flag(&place, what);
    }
    flags
}

/// Warnings about the surface over a life, each once with the clock time it was first seen.
pub(crate) fn of_life(document: &Document, tank: &Tank, life: &Life) -> Vec<Flag> {
    let (surface, end) = (&life.surface, &life.verdict);
    let rate = Quantity::DEPOSITION_UM_H.name(tank);
    let mut flags = Vec::new();
    let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
    if let Some(what) = warning_of_rate(surface.fastest_um_h) {
        flag(&rate, format!("{what} (fastest at {:.1} h)", surface.fastest_at_h));
    }
    if let Some((column, what)) = of_alloy(tank, surface.richest_alloy_wt_pct) {
        flag(&column, format!("{what} (most at {:.1} h)", surface.richest_at_h));
    }
    let metal = &tank.bath.equilibrium.component_names()[tank.bath.roles.metal];
    if end.limit == format!("{metal} dissolves") {
        let potential = life.rows.last().and_then(|row| row.potential_v_she);
        let words = dissolving(potential.unwrap_or(f64::NAN), "the bath");
        flag(PARTIAL_CURRENTS, format!("{words} from {:.1} h on: the life ends there", end.clock_h));
    } else if surface.slowest_at_set_points_um_h < 0.0 {
        flag(
            &rate,
            format!(
                "with metal and pH at their set-points the bath would dissolve the metal, {:.3} um/h at {:.1} h",
                surface.slowest_at_set_points_um_h, surface.slowest_at_h
            ),
        );
    }
    if let Some(from_h) = surface.no_potential_from_h {
        flag(PARTIAL_CURRENTS, format!("{}, first at {from_h:.1} h", no_potential()));
    }
    if let Some(from_h) = surface.hydrogen_taken_up_from_h {
        flag(PARTIAL_CURRENTS, format!("{}, first at {from_h:.1} h", takes_hydrogen_up()));
    }
    for (held, from_h) in &surface.held_orders {
        let (place, what) = of_order(document, held);
        flag(&place, format!("{what}, first at {from_h:.1} h"));
    }
    flags
}
