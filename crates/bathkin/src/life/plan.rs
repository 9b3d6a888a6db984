//! The coming shift: what the policies will call for, from the bath as it stands.

use schemars::JsonSchema;
use serde::Serialize;

use super::Settings;
use super::additions::PUMPED;
use super::rounding::{Rounding, Size};
use super::run::Run;
use super::shift::ShiftVolumes;
use super::simulate::unscaled;
use super::watch::{ShiftState, Watch};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::solution::ph::{Adjustment, adjust_ph};
use crate::tank::{Balances, MetalPolicy, PH, PhPolicy};

/// Most stops in one shift.
const MOST_STOPS: u64 = 100_000;
const ML_PER_L: f64 = 1e3;

/// An addition to come.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct PlannedAddition {
    /// Hours from the start of the shift.
    pub at_h: f64,
    /// Which solution.
    pub replenisher: String,
    /// Volume without rounding, mL.
    pub exact_ml: f64,
    /// Volume to add, mL.
    pub volume_ml: f64,
    /// The same in the unit of the solution.
    pub dose: f64,
    /// That unit.
    pub dose_unit: &'static str,
    /// Of what a pump feeds, the rate while work is in the tank, mL/h.
    pub pump_ml_h: Option<f64>,
    /// Why.
    pub reason: String,
    /// The bath before it; for what a pump feeds, at the start of the shift.
    pub before: ShiftState,
    /// The bath after it; for what a pump feeds, at the end of the shift.
    pub after: ShiftState,
}

/// What a shift takes of a solution.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ShiftTotal {
    /// Which solution.
    pub replenisher: String,
    /// Volume without rounding, mL.
    pub exact_ml: f64,
    /// Volume with it, mL.
    pub volume_ml: f64,
}

/// A shift as it is expected to go.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Shift {
    pub(crate) additions: Vec<PlannedAddition>,
    pub(crate) start: ShiftState,
    pub(crate) end: ShiftState,
    pub(crate) volumes: ShiftVolumes,
    /// Totals of the components at the end, mol/L.
    pub(crate) end_mol_l: Vec<f64>,
    /// Time with work in the tank, h.
    pub(crate) plating_h: f64,
    /// What ran out before its end, and when, h.
    pub(crate) dry: Option<(String, f64)>,
}

/// Which analyses a shift begins with.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Known {
    /// Metal or reductant.
    pub(crate) contents: bool,
    /// pH.
    pub(crate) ph: bool,
}

/// Goes through a shift from a (scaled) state, doses rounded to marks of `step_ml`.
///
/// A policy that only keeps the bath where it is (pumps), or that waits for its next analysis, has the
/// bath brought back at the start when an analysis is known.
pub(crate) fn go_through(
    balances: &Balances,
    state: Vec<f64>,
    fresh_ph: f64,
    settings: &Settings,
    shift_h: f64,
    step_ml: Option<f64>,
    known: Known,
) -> Result<Shift> {
    let tank = balances.tank();
    let settings = Settings { longest_clock_h: shift_h, ..settings.clone() };
    let start = ShiftState::read(balances, &state).map_err(|error| error.at_time(0.0))?;
    let at_start = state.clone();
    let mut run = Run::new(balances, &[], &settings, fresh_ph, state);
    run.operator.rounding =
        step_ml.map(|step| Rounding::new(step / ML_PER_L, tank.operation.replenishers.len()));
    run.operator.watch = Some(Watch::default());
    run.begin();
    if known.contents && !matches!(tank.operation.policies.metal, MetalPolicy::Threshold { .. }) {
        let added = run.operator.add_metal(0.0, &mut run.state, None, "analysis now");
        added.map_err(|error| error.at_time(0.0))?;
    }
    if known.ph && matches!(tank.operation.policies.ph, PhPolicy::Continuous | PhPolicy::Interval { .. }) {
        let corrected = run.operator.correct_ph(0.0, &mut run.state, Size::Lacking, "analysis now");
        corrected.map_err(|error| error.at_time(0.0))?;
    }
    run.do_what_is_due()?;
    let mut dry = None;
    for stop in 0_u64.. {
        run.carry_to_next_stop()?;
        dry = run.run_dry(&*run.readings()?).map(|what| (what, run.time / SECONDS_PER_HOUR));
        if dry.is_some() {
            break;
        }
        run.do_what_is_due()?;
        if run.time >= run.end {
            break;
        }
        if stop > MOST_STOPS {
            return Err(run.too_many_stops(MOST_STOPS));
        }
    }
    run.close_ledger()?;
    let end = ShiftState::read(balances, &run.state).map_err(|error| error.at_time(run.clock_h()))?;
    let volumes = ShiftVolumes::between(balances, &at_start, &run.state);
    let plating_h = run.segment.plating_s(run.time) / SECONDS_PER_HOUR;
    let end_mol_l = totals_of_state_mol_l(balances, &run.state);
    let watched = run.operator.watch.take().unwrap_or_default().doses;
    let mut watched = watched.into_iter().peekable();
    let lines = run.operator.ledger.additions.into_iter().enumerate();
    let additions = lines
        .map(|(line, addition)| {
            let dose = watched.next_if(|dose| dose.line == line);
            let volume_ml = match (dose, step_ml) {
                // The mark itself, not what is left of it after a way through litres.
                (Some(_), Some(step)) => (addition.volume_ml / step).round() * step,
                _ => addition.volume_ml,
            };
            let is_pumped = dose.is_none() && addition.reason == PUMPED;
            PlannedAddition {
                pump_ml_h: (is_pumped && plating_h > 0.0).then(|| volume_ml / plating_h),
                at_h: addition.clock_h,
                replenisher: addition.replenisher,
                exact_ml: dose.map_or(addition.volume_ml, |dose| dose.exact_l * ML_PER_L),
                volume_ml,
                dose: addition.dose,
                dose_unit: addition.dose_unit,
                reason: addition.reason,
                before: dose.map_or(start, |dose| dose.before),
                after: dose.map_or(end, |dose| dose.after),
            }
        })
        .collect();
    Ok(Shift { additions, start, end, end_mol_l, plating_h, volumes, dry })
}

/// Totals of the components in a (scaled) state, mol/L.
pub(crate) fn totals_of_state_mol_l(balances: &Balances, state: &[f64]) -> Vec<f64> {
    let (scale, volume_l) = (balances.layout().scale(), balances.volume_l(state));
    let slots = balances.tank().bath.equilibrium.component_names().len();
    (0..slots).map(|slot| state[slot] * scale[slot] / volume_l).collect()
}

/// Totals of each solution, in the order they first come.
pub(crate) fn totals(rounded: &[PlannedAddition], exact: &[PlannedAddition]) -> Vec<ShiftTotal> {
    let mut totals: Vec<ShiftTotal> = Vec::new();
    for (additions, is_exact) in [(rounded, false), (exact, true)] {
        for addition in additions {
            let name = &addition.replenisher;
            let place = totals.iter().position(|total| total.replenisher == *name).unwrap_or_else(|| {
                totals.push(ShiftTotal { replenisher: name.clone(), exact_ml: 0.0, volume_ml: 0.0 });
                totals.len() - 1
            });
            let total = &mut totals[place];
            let sum = if is_exact { &mut total.exact_ml } else { &mut total.volume_ml };
            *sum += addition.volume_ml;
        }
    }
    totals
}

/// Sets a (scaled) state to analyses: contents (slot, mol/L) and pH.
///
/// pH comes with the temperature it was read at, K. A content changes against protons, as plating does it, and the pH is brought to the one given, or back
/// to what it was, with the reagent of the pH corrector put in or taken out. Gives the pH that these contents
/// cannot have, if so.
///
/// # Errors
/// [`Error::Convergence`].
pub(crate) fn set_to_analyses(
    balances: &Balances,
    state: &mut [f64],
    contents: &[(usize, f64)],
    ph: Option<(f64, f64)>,
) -> Result<Option<f64>> {
    let (tank, layout) = (balances.tank(), balances.layout());
    if contents.is_empty() && ph.is_none() {
        return Ok(None);
    }
    let before = ShiftState::read(balances, state)?;
    let amounts = unscaled(balances, state);
    let mut totals: Vec<f64> =
        amounts[..tank.bath.components()].iter().map(|amount| amount / before.volume_l).collect();
    for (slot, mol_l) in contents {
        totals[*slot] = *mol_l;
    }
    let gives = &tank.operation.replenishers[PH].per_litre[..tank.bath.components()];
    let (target, at_k) = ph.unwrap_or((before.ph, tank.operation.set_points.ph_temperature_k));
    if gives.iter().any(|moles| *moles != 0.0) {
        let taken: Vec<f64> = gives.iter().map(|moles| -moles).collect();
        let mut reading = tank.bath.equilibrium.speciation();
        let mut there = false;
        for reagent in [gives, &taken] {
            let outcome =
                adjust_ph(&tank.bath.equilibrium, &mut reading, &mut totals, reagent, at_k, target)?;
            there = matches!(outcome, Adjustment::Amount(_));
            if there {
                break;
            }
        }
        if !there {
            return Ok(Some(target));
        }
    }
    let charge: f64 =
        totals.iter().zip(tank.bath.equilibrium.component_charges()).map(|(total, z)| total * z).sum();
    totals.push(-charge);
    for (slot, total) in totals.iter().enumerate() {
        state[slot] = total * before.volume_l / layout.scale()[slot];
    }
    Ok(None)
}
