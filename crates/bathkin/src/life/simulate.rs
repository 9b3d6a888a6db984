//! The run: make-up, stretches, stops, verdict.

use std::rc::Rc;

use super::settings::Settings;

use super::film_status::FilmStatus;
use super::limits::Limit;
use super::run::Run;
use super::solid_status::SolidStatus;
use super::surface_status::SurfaceStatus;
use super::{Balance, Life, ReductantFeed, SolverStatistics, Table, Verdict, stress};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::tank::accounts::{ALLOWED_RESIDUAL, Accounts};
use crate::tank::readings::share;
use crate::tank::{Balances, Readings, Tank, Volume, WATER_MOL_L};

/// Most stops in one life: beyond this something repeats too often.
const MOST_STOPS: u64 = 1_000_000;

/// A bath in use.
#[derive(Debug, Clone, PartialEq)]
pub struct Used {
    /// Its (scaled) state.
    pub state: Vec<f64>,
    /// Clock time of its schedule, s.
    pub clock_s: f64,
}

/// Runs a bath of fresh totals (mol/L) from make-up to the first limit.
///
/// `report` is called with the turnovers so far at every stop; returning `false` ends the run with
/// an error, which is how a caller interrupts it.
///
/// # Errors
/// [`Error::LimitAtMakeUp`], [`Error::Balance`], [`Error::PhNotReachable`], [`Error::Simulation`]
/// and [`Error::Convergence`].
pub fn simulate(
    tank: &Tank,
    fresh_totals_mol_l: &[f64],
    limits: &[Limit],
    settings: &Settings,
    report: &mut dyn FnMut(f64) -> bool,
) -> Result<Life> {
    let balances = Balances::new(tank, fresh_totals_mol_l);
    let see = &mut |_: &Readings| ();
    carry_on(&balances, None, fresh_totals_mol_l, limits, settings, report, see).map(|(life, _)| life)
}

/// The same; `see` gets the readings before and after what is done at each stop.
///
/// # Errors
/// As [`simulate`].
pub(crate) fn simulate_seeing(
    tank: &Tank,
    fresh_totals_mol_l: &[f64],
    limits: &[Limit],
    settings: &Settings,
    see: &mut dyn FnMut(&Readings),
) -> Result<Life> {
    let balances = Balances::new(tank, fresh_totals_mol_l);
    let report = &mut |_: f64| true;
    carry_on(&balances, None, fresh_totals_mol_l, limits, settings, report, see).map(|(life, _)| life)
}

/// The same, with the (scaled) state at the end, from make-up or from a used bath; `see` gets the readings before and
/// after what is done at each stop.
pub(crate) fn carry_on(
    balances: &Balances,
    used: Option<Used>,
    fresh_totals_mol_l: &[f64],
    limits: &[Limit],
    settings: &Settings,
    report: &mut dyn FnMut(f64) -> bool,
    see: &mut dyn FnMut(&Readings),
) -> Result<(Life, Vec<f64>)> {
    let (tank, layout) = (balances.tank(), balances.layout().clone());
    let made_up = fresh_state(balances, fresh_totals_mol_l);
    let (fresh, fresh_ph) = fresh_readings(balances, &made_up)?;
    let mut run = match used {
        None => {
            check_make_up(tank, limits, &fresh)?;
            let mut run = Run::new(balances, limits, settings, fresh_ph, made_up);
            run.rows.push(fresh.clone());
            run
        }
        Some(Used { state, clock_s }) => Run::new(balances, limits, settings, fresh_ph, state).since(clock_s),
    };
    let accounts = Accounts::open(tank, &layout, &unscaled(balances, &run.state));
    let mut solids = SolidStatus::of_tank(tank);
    SolidStatus::look(&mut solids, run.time, &*run.readings()?);
    run.begin();
    let mut film = tank.bath.film.is_some().then(FilmStatus::default);
    FilmStatus::look(&mut film, balances, run.time, &run.state)?;
    let mut surface = SurfaceStatus::fresh(&fresh);

    let mut hottest: Option<Rc<Readings>> = None;

    let mut stops = 0;
    let mut worst = (0.0, String::from("nothing"));
    // At one instant: events, doses, limits; an event of the end is done before the verdict.
    let reached = loop {
        run.do_what_is_due()?;
        let readings = run.readings()?;
        see(&readings);
        SolidStatus::look(&mut solids, run.time, &readings);
        let found = accounts.check(tank, &layout, &unscaled(balances, &run.state), run.time)?;
        if found.0 > worst.0 {
            worst = found;
        }
        let over = first_reached(tank, limits, &readings).or_else(|| run.run_dry(&readings));
        if over.is_some() {
            break over;
        }
        run.write_row(&readings).map_err(|error| error.at_time(run.clock_h()))?;
        if run.time >= run.end {
            break None;
        }
        if !report(readings.turnovers) {
            return Err(run.stopped("interrupted".to_owned()));
        }
        if stops > MOST_STOPS {
            return Err(run.too_many_stops(MOST_STOPS));
        }
        run.carry_to_next_stop()?;
        stops += 1;
        let readings = run.readings()?;
        see(&readings);
        SolidStatus::look(&mut solids, run.time, &readings);
        if balances.area_m2() > 0.0 {
            surface.look(run.time, &readings);
        }
        if readings.temperature_k
            > hottest.as_ref().map_or(tank.operation.temperature_k, |known| known.temperature_k)
        {
            hottest = Some(readings);
        }
        FilmStatus::look(&mut film, balances, run.time, &run.state)
            .map_err(|error| error.at_time(run.clock_h()))?;
    };

    let last = run.readings()?;
    run.row(&last)?;
    run.close_ledger()?;
    let Run { operator, rows, loads, happened, state, time, .. } = run;
    let amounts = unscaled(balances, &state);
    let life = Life {
        verdict: Verdict {
            limit: reached.unwrap_or_else(|| "none".to_owned()),
            clock_h: time / SECONDS_PER_HOUR,
            plating_h: last.plating_h,
            turnovers: last.turnovers,
            turnovers_plated: last.turnovers_plated,
            area_m2: last.area_m2,
        },
        limits: limits.iter().map(|limit| limit.status(tank, &fresh, &last)).collect(),
        solids,
        film,
        surface,
        hottest: hottest.map(Rc::unwrap_or_clone),
        stress: stress::status(tank, &fresh, &last),
        table: Table::of(tank, &rows),
        rows,
        ledger: operator.ledger,
        balance: Balance { max_relative_residual: worst.0, worst: worst.1, allowed: ALLOWED_RESIDUAL },
        reductant_feed: reductant_feed(tank, &amounts, balances, fresh_totals_mol_l),
        loads: loads.records,
        events: happened,
        hydrogen_l: last.hydrogen_l,
        effort: SolverStatistics { right_hand_sides: balances.evaluations(), stops },
    };
    Ok((life, state))
}

fn first_reached(tank: &Tank, limits: &[Limit], readings: &Readings) -> Option<String> {
    limits.iter().find(|limit| limit.margin(tank, readings) <= 0.0).map(|limit| limit.name.clone())
}

/// What can be read off a fresh bath of this (scaled) state, and its pH.
///
/// # Errors
/// [`Error::Convergence`] from the equilibrium.
pub(crate) fn fresh_readings(balances: &Balances, made_up: &[f64]) -> Result<(Readings, f64)> {
    let fresh_ph = balances.observe(made_up, |observed, _, _| observed.ph)?;
    Ok((Readings::take(balances, made_up, fresh_ph)?.cooled(balances)?, fresh_ph))
}

/// The (scaled) state of a fresh bath: its totals, protons from electroneutrality, water.
pub fn fresh_state(balances: &Balances, totals_mol_l: &[f64]) -> Vec<f64> {
    let (tank, layout) = (balances.tank(), balances.layout());
    let mut state = vec![0.0; layout.len()];
    for (position, total) in totals_mol_l.iter().enumerate() {
        state[position] = total * tank.plant.volume_l;
    }
    let charge: f64 =
        totals_mol_l.iter().zip(tank.bath.equilibrium.component_charges()).map(|(t, z)| t * z).sum();
    state[tank.bath.proton()] = -charge * tank.plant.volume_l;
    state[tank.bath.water()] = WATER_MOL_L * tank.plant.volume_l;
    state[layout.volume(Volume::Bath)] = tank.plant.volume_l;
    for (value, scale) in state.iter_mut().zip(layout.scale()) {
        *value /= scale;
    }
    state
}

pub(super) fn unscaled(balances: &Balances, state: &[f64]) -> Vec<f64> {
    state.iter().zip(balances.layout().scale()).map(|(value, scale)| value * scale).collect()
}

fn check_make_up(tank: &Tank, limits: &[Limit], fresh: &Readings) -> Result<()> {
    limits.iter().find(|limit| limit.margin(tank, fresh) <= 0.0).map_or(Ok(()), |limit| {
        Err(Error::LimitAtMakeUp {
            place: limit.place.clone(),
            key: limit.path.clone(),
            value: limit.value(tank, fresh),
            bound: limit.bound,
        })
    })
}

fn reductant_feed(tank: &Tank, amounts: &[f64], balances: &Balances, fresh: &[f64]) -> ReductantFeed {
    let layout = balances.layout();
    let brought = |component: usize| -> f64 {
        let fed = tank.operation.replenishers.iter().zip(&amounts[layout.fed()]);
        fed.map(|(replenisher, volume)| replenisher.per_litre[component] * volume).sum()
    };
    let reductant = tank.bath.roles.reductant;
    let gone = amounts[layout.gone().start + reductant];
    let used = fresh[reductant] * tank.plant.volume_l + brought(reductant) - gone - amounts[reductant];
    let plated = amounts[layout.deposited().start + tank.bath.metal_element];
    ReductantFeed {
        fed_per_metal_mol: share(brought(reductant), brought(tank.bath.roles.metal)),
        used_per_metal_mol: share(used, plated),
        set_point_mol_l: tank.operation.set_points.reductant_mol_l,
        end_mol_l: amounts[reductant] / amounts[layout.volume(Volume::Bath)],
    }
}
