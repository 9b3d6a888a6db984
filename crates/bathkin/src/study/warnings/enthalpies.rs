//! What a result owes to enthalpies that nobody measured.
//!
//! An estimated enthalpy has a width s, which away from 25 degC moves log10 K by s/(R ln 10) |1/T0 - 1/T|. Each such constant of a
//! bath is moved by that much, the pH brought back where it is read hot, and the rate, the pH and the free metal are computed
//! again; what the constants do counts as independent. Below 10 % of the rate, 0.05 of pH and 0.1 decades of free metal
//! nothing is said: coupons and electrodes scatter by as much, and a log K at 25 degC is no better known.
//!
//! An enthalpy that is missing altogether counts as zero, which no reaction has: that is always said, unless the bath is
//! within 5 degC of 25.

use crate::constants::{REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use crate::error::Result;
use crate::flag::Flag;
use crate::life::Life;
use crate::model::Model;
use crate::model::missing_enthalpies::species_named;
use crate::solution::chemistry::HYDROXIDE;
use crate::solution::ph::settle_ph;
use crate::solution::{EnthalpyEvidence, Speciation, Species};
use crate::tank::{BathState, PH};

/// Relative change of the rate, change of pH, change of log10 of the free metal that are worth saying.
const WORTH_SAYING: [f64; 3] = [0.1, 0.05, 0.1];

/// Changes of ln rate, pH and log10 of the free metal.
type Moves = [f64; 3];

/// What the estimated enthalpies are worth in a bath.
///
/// # Errors
/// [`crate::Error::Convergence`] from the equilibrium.
pub(crate) fn of_bath(model: &Model, observed: &BathState, solved: &Speciation) -> Result<Option<Flag>> {
    let mut moved: Vec<(&str, &EnthalpyEvidence, Moves)> = Vec::new();
    for (place, name) in model.tank.bath.equilibrium.species_names().iter().enumerate() {
        let Some(species) = species_named(&model.chemistry, name) else { continue };
        let Some(enthalpy) = species.evidence.enthalpy.as_ref().filter(|known| known.is_guessed()) else {
            continue;
        };
        let by_log_k = enthalpy.log_k_width_at(observed.temperature_k);
        if is_trace(model, observed, species, place, by_log_k) {
            continue;
        }
        if let Some(moves) = moves(model, observed, solved.restarted(), (place, by_log_k))? {
            moved.push((name, enthalpy, moves));
        }
    }
    let total = |which: usize| moved.iter().map(|(.., moves)| moves[which].powi(2)).sum::<f64>().sqrt();
    let totals: Moves = [total(0), total(1), total(2)];
    if totals.iter().zip(WORTH_SAYING).all(|(found, least)| *found < least) {
        return Ok(None);
    }
    // The one that matters most, in units of what is worth saying.
    let weight =
        |moves: &Moves| moves.iter().zip(WORTH_SAYING).map(|(by, least)| (by / least).powi(2)).sum::<f64>();
    moved.sort_by(|a, b| weight(&b.2).total_cmp(&weight(&a.2)));
    const NAMED: usize = 3;
    let all: f64 = moved.iter().map(|(.., moves)| weight(moves)).sum();
    let named: Vec<String> = moved
        .iter()
        .take(NAMED)
        .filter(|(.., moves)| weight(moves) > 0.05 * all)
        .map(|(name, enthalpy, _)| format!("{name} (+-{} kJ/mol)", enthalpy.width_kj_mol.value))
        .collect();
    let what = format!(
        "estimated enthalpies leave at {:.0} degC the rate open by {:.0} %, the pH in the bath by {:.2}, free {} by {:.2} decades, \
         mostly those of {}",
        observed.temperature_k - ZERO_CELSIUS_K,
        100.0 * totals[0],
        totals[1],
        model.heading.metal,
        totals[2],
        named.join(", ")
    );
    // Of free metal alone: a remark on the solution, which neither rate nor pH depends on.
    let elsewhere = totals.iter().zip(WORTH_SAYING).take(2).any(|(found, least)| *found >= least);
    let place = if elsewhere { "enthalpies" } else { "enthalpies.free_metal" };
    Ok(Some(Flag { r#where: place.to_owned(), what }))
}

/// The same over a life, at its last row: what builds up is bound in complexes of its own.
///
/// # Errors
/// [`crate::Error::Convergence`] from the equilibrium.
pub(crate) fn of_life(model: &Model, life: &Life) -> Result<Option<Flag>> {
    let Some(last) = life.rows.last() else { return Ok(None) };
    let mut observed = BathState::new(&model.tank);
    observed.totals_mol_l.clone_from(&last.totals_mol_l);
    let mut speciation = model.tank.bath.equilibrium.speciation();
    observed.update(&model.tank, &mut speciation)?;
    of_bath(model, &observed, &speciation)
}

/// True for a species that, moved so far, is felt by no component, neither by the acid nor by the alkali, where no law
/// follows species: it is not worth solving for.
fn is_trace(model: &Model, observed: &BathState, species: &Species, place: usize, by_log_k: f64) -> bool {
    const FELT: f64 = 1e-3;
    let names = model.tank.bath.equilibrium.component_names();
    if model.tank.bath.kinetics.follow_species(names.len()) {
        return false;
    }
    // Dissolved substances are listed as components, proton, species.
    let dissolved = &observed.dissolved_mol_l;
    let moved_mol_l = dissolved[names.len() + 1 + place] * by_log_k;
    let hydroxide = model.tank.bath.equilibrium.substance_names().position(|name| name == HYDROXIDE);
    let free_mol_l = dissolved[names.len()] + hydroxide.map_or(0.0, |at| dissolved[at]);
    let of_component = |(index, count): &(usize, f64)| {
        let slot = names.iter().position(|name| *name == model.chemistry.components[*index].name);
        slot.is_some_and(|slot| count * moved_mol_l > FELT * observed.totals_mol_l[slot])
    };
    moved_mol_l < FELT * free_mol_l && !species.forms_from.iter().any(of_component)
}

/// What moving one constant does; `None` where the pH cannot be brought back.
fn moves(
    model: &Model,
    observed: &BathState,
    mut speciation: Speciation,
    (place, by_log_k): (usize, f64),
) -> Result<Option<Moves>> {
    let equilibrium = model.tank.bath.equilibrium.with_log_k_moved(place, by_log_k);
    let mut after = observed.clone();
    // A pH read at 25 degC holds what is in the bath, a hot one the pH.
    let read_hot = model.tank.operation.set_points.ph_temperature_k != REFERENCE_TEMPERATURE_K;
    if let Some(corrector) = model.tank.operation.replenishers.get(PH).filter(|_| read_hot) {
        let gives = &corrector.per_litre[..after.totals_mol_l.len()];
        let kelvin = observed.temperature_k;
        let held =
            settle_ph(&equilibrium, &mut speciation, &mut after.totals_mol_l, gives, kelvin, observed.ph)?;
        if held.is_none() {
            return Ok(None);
        }
    }
    let tank = model.tank.with_equilibrium(equilibrium);
    after.update(&tank, &mut speciation)?;
    let free = |of: &BathState| of.dissolved_mol_l[tank.bath.roles.metal];
    let ratio = |of: fn(f64) -> f64, a: f64, b: f64| if a > 0.0 && b > 0.0 { of(b / a) } else { 0.0 };
    Ok(Some([
        ratio(f64::ln, observed.growth_um_s, after.growth_um_s),
        after.ph - observed.ph,
        ratio(f64::log10, free(observed), free(&after)),
    ]))
}
