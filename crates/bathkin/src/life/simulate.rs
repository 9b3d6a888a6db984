//! The run: make-up, stretches, stops, verdict.

use bathkin_numerics::{IntegrationError, Options, Stop, advance};

use super::additions::Operator;
use super::limits::Limit;
use super::readings::Readings;
use super::segment::{Call, Segment};
use super::table::Table;
use super::{Balance, Effort, Life, ReductantFeed, Verdict};
use crate::constants::{GAS_MOLAR_VOLUME_25C_L_MOL, REFERENCE_TEMPERATURE_K, SECONDS_PER_HOUR};
use crate::error::{Error, Result};
use crate::solution::Element;
use crate::tank::accounts::{ALLOWED_RESIDUAL, Accounts};
use crate::tank::{Balances, METAL, MetalPolicy, PH, REDUCTANT, Tank, WATER_MOL_L};

/// Most stops in one life: beyond this the policies chase each other.
const MOST_STOPS: u64 = 1_000_000;

/// How a life is computed.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Clock time at which to give up waiting for a limit, h.
    pub longest_clock_h: f64,
    /// Relative tolerance of the integration.
    pub relative_tolerance: f64,
    /// Time to which events are located, s.
    pub event_time_tolerance_s: f64,
}

impl Default for Settings {
    /// A year of clock time, 1e-8 relative, a millisecond.
    fn default() -> Self {
        Settings { longest_clock_h: 8760.0, relative_tolerance: 1e-8, event_time_tolerance_s: 1e-3 }
    }
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
    let layout = balances.layout().clone();
    let mut state = fresh_state(&balances, fresh_totals_mol_l);
    let fresh_ph = balances.observe(&state, |observed, _| observed.ph)?;
    let fresh = Readings::take(&balances, &state, fresh_ph)?;
    check_make_up(limits, &fresh)?;

    let accounts = Accounts::open(tank, &layout, &unscaled(&balances, &state));
    let options = Options {
        relative_tolerance: settings.relative_tolerance,
        absolute_tolerance: settings.relative_tolerance * 1e-2,
        event_time_tolerance: settings.event_time_tolerance_s,
        samples_per_step: 1,
        ..Options::default()
    };
    let end = settings.longest_clock_h * SECONDS_PER_HOUR;
    let mut segment = Segment::new(&balances, limits, fresh_ph);
    let mut operator = Operator::new(&balances);
    let mut recorder = Recorder { balances: &balances, plating_s: 0.0, table: Table::default() };
    recorder.row(0.0, &state, &fresh)?;

    let mut time = 0.0;
    let mut analysis = 0.0;
    let mut hint = None;
    let mut stops = 0;
    let mut worst = (0.0, String::from("nothing"));
    let reached = loop {
        balances.set_area_m2(tank.work.area_m2(time));
        let mut stop = tank.work.next_change_s(time).min(end);
        if let MetalPolicy::AtAnalysis { interval_s } = tank.policies.metal {
            while analysis <= time {
                analysis += interval_s;
            }
            stop = stop.min(analysis);
        }
        let mut call = None;
        if balances.area_m2() > 0.0 || tank.bleed_l_h > 0.0 {
            let arrival = advance(&segment, time, &mut state, stop, hint, &options).map_err(in_hours)?;
            if balances.area_m2() > 0.0 {
                recorder.plating_s += arrival.time - time;
            }
            (time, hint) = (arrival.time, Some(arrival.next_step));
            if let Stop::Event { index } = arrival.stop {
                call = Some(segment.call(index));
            }
        } else {
            time = stop;
        }
        stops += 1;
        match call {
            Some(Call::Limit(index)) => break Some(index),
            Some(Call::Metal) => operator.add_metal(time, &mut state, "metal low")?,
            Some(Call::Ph) => operator.correct_ph(time, &mut state, "pH low")?,
            Some(Call::Row) => {}
            None => {
                operator.lift_out(&mut state, tank.work.area_out_m2(time));
                if tank.policies.metal != MetalPolicy::Continuous && time == analysis {
                    operator.add_metal(time, &mut state, "analysis")?;
                }
            }
        }
        keep_books(&balances, &accounts, &state, time, &mut worst)?;
        let readings = Readings::take(&balances, &state, fresh_ph)?;
        if let Some(index) = limits.iter().position(|limit| limit.margin(&readings) <= 0.0) {
            break Some(index);
        }
        // A dose that completes a turnover does so to the last bit or a hair short of it.
        if readings.turnovers >= segment.next_row() - 1e-9 {
            recorder.row(time, &state, &readings)?;
            segment.row_done();
        }
        if time >= end {
            break None;
        }
        if !report(readings.turnovers) {
            return Err(Error::Simulation {
                time_h: time / SECONDS_PER_HOUR,
                reason: "interrupted".to_owned(),
            });
        }
        if stops > MOST_STOPS {
            return Err(Error::Simulation {
                time_h: time / SECONDS_PER_HOUR,
                reason: format!("more than {MOST_STOPS} stops: the policies chase each other"),
            });
        }
    };

    keep_books(&balances, &accounts, &state, time, &mut worst)?;
    let last = Readings::take(&balances, &state, fresh_ph)?;
    recorder.row(time, &state, &last)?;
    let amounts = unscaled(&balances, &state);
    let mut ledger = operator.ledger;
    if tank.policies.pumps() {
        for (replenisher, volume) in tank.replenishers.iter().zip(&amounts[layout.fed()]) {
            let pumped = volume - ledger.volume_l(&replenisher.name);
            // Below a drop is round-off between the two sums.
            let a_drop_l = 1e-6 * tank.volume_l;
            if pumped > a_drop_l {
                ledger.write(time / SECONDS_PER_HOUR, &replenisher.name, pumped, "pumped over the life");
            }
        }
    }
    Ok(Life {
        verdict: Verdict {
            limit: reached.map_or_else(|| "none".to_owned(), |index| limits[index].name.clone()),
            clock_h: time / SECONDS_PER_HOUR,
            plating_h: recorder.plating_s / SECONDS_PER_HOUR,
            turnovers: last.turnovers,
            turnovers_plated: last.turnovers_plated,
            area_m2: amounts[layout.area()],
        },
        limits: limits.iter().map(|limit| limit.standing(&fresh, &last)).collect(),
        table: recorder.table,
        ledger,
        balance: Balance { max_relative_residual: worst.0, worst: worst.1, allowed: ALLOWED_RESIDUAL },
        reductant_feed: reductant_feed(tank, &amounts, &balances, fresh_totals_mol_l),
        hydrogen_l: hydrogen_l(tank, &amounts[layout.evolved()]),
        effort: Effort { right_hand_sides: balances.evaluations(), stops },
    })
}

/// The (scaled) state of a fresh bath: its totals, protons from electroneutrality, water.
pub fn fresh_state(balances: &Balances, totals_mol_l: &[f64]) -> Vec<f64> {
    let (tank, layout) = (balances.tank(), balances.layout());
    let mut state = vec![0.0; layout.len()];
    for (position, total) in totals_mol_l.iter().enumerate() {
        state[position] = total * tank.volume_l;
    }
    let charge: f64 = totals_mol_l.iter().zip(tank.equilibrium.component_charges()).map(|(t, z)| t * z).sum();
    state[tank.proton()] = -charge * tank.volume_l;
    state[tank.water()] = WATER_MOL_L * tank.volume_l;
    for (value, scale) in state.iter_mut().zip(layout.scale()) {
        *value /= scale;
    }
    state
}

fn unscaled(balances: &Balances, state: &[f64]) -> Vec<f64> {
    state.iter().zip(balances.layout().scale()).map(|(value, scale)| value * scale).collect()
}

fn check_make_up(limits: &[Limit], fresh: &Readings) -> Result<()> {
    limits.iter().find(|limit| limit.margin(fresh) <= 0.0).map_or(Ok(()), |limit| {
        Err(Error::LimitAtMakeUp {
            place: limit.place.clone(),
            key: limit.name.clone(),
            value: limit.value(fresh),
            bound: limit.bound,
        })
    })
}

fn keep_books(
    balances: &Balances,
    accounts: &Accounts,
    state: &[f64],
    time_s: f64,
    worst: &mut (f64, String),
) -> Result<()> {
    let found = accounts.residual(balances.tank(), balances.layout(), &unscaled(balances, state));
    if found.0 <= ALLOWED_RESIDUAL {
        if found.0 > worst.0 {
            *worst = found;
        }
        return Ok(());
    }
    Err(Error::Balance {
        what: found.1,
        residual: found.0,
        allowed: ALLOWED_RESIDUAL,
        time_h: time_s / SECONDS_PER_HOUR,
    })
}

pub(super) fn in_hours(error: IntegrationError<Error>) -> Error {
    let (time_s, reason) = match error {
        IntegrationError::RightHandSide { time, source }
        | IntegrationError::EventFunction { time, source } => (time, source.to_string()),
        other => (f64::NAN, other.to_string()),
    };
    Error::Simulation { time_h: time_s / SECONDS_PER_HOUR, reason }
}

fn reductant_feed(tank: &Tank, amounts: &[f64], balances: &Balances, fresh: &[f64]) -> ReductantFeed {
    let layout = balances.layout();
    let brought = |component: usize| -> f64 {
        let fed = tank.replenishers.iter().zip(&amounts[layout.fed()]);
        fed.map(|(replenisher, volume)| replenisher.per_litre[component] * volume).sum()
    };
    let reductant = tank.roles.reductant;
    let gone = amounts[layout.gone().start + reductant];
    let used = fresh[reductant] * tank.volume_l + brought(reductant) - gone - amounts[reductant];
    let plated = amounts[layout.deposited().start + tank.metal_element];
    let share = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { 0.0 };
    ReductantFeed {
        fed_per_metal_mol: share(brought(reductant), brought(tank.roles.metal)),
        used_per_metal_mol: share(used, plated),
        set_point_mol_l: tank.set_points.reductant_mol_l,
        end_mol_l: amounts[reductant] / tank.volume_l,
    }
}

fn hydrogen_l(tank: &Tank, evolved_mol: &[f64]) -> f64 {
    const ATOMS_PER_MOLECULE: f64 = 2.0;
    let hydrogen = Element::new("H");
    let atoms: f64 = tank
        .evolved
        .iter()
        .zip(evolved_mol)
        .filter(|(element, _)| Some(**element) == hydrogen)
        .map(|(_, n)| n)
        .sum();
    atoms / ATOMS_PER_MOLECULE * GAS_MOLAR_VOLUME_25C_L_MOL
}

struct Recorder<'a> {
    balances: &'a Balances<'a>,
    plating_s: f64,
    table: Table,
}

impl Recorder<'_> {
    fn row(&mut self, time_s: f64, state: &[f64], now: &Readings) -> Result<()> {
        let (tank, layout) = (self.balances.tank(), self.balances.layout());
        let amount = |slot: usize| state[slot] * layout.scale()[slot];
        let per_bath = |which: usize| amount(layout.fed().start + which) / tank.volume_l;
        let cooled = self.balances.ph_at(&now.totals_mol_l, REFERENCE_TEMPERATURE_K)?;
        let layer = tank.layer(&layout.deposited().map(amount).collect::<Vec<f64>>());
        let mut row: Vec<(String, f64)> = [
            ("turnovers", now.turnovers),
            ("turnovers_plated", now.turnovers_plated),
            ("clock_h", time_s / SECONDS_PER_HOUR),
            ("plating_h", self.plating_s / SECONDS_PER_HOUR),
            ("area_m2", amount(layout.area())),
            ("metal_g_l", now.metal_g_l),
            ("reductant_mol_l", now.totals_mol_l[tank.roles.reductant]),
            ("ph", now.ph),
            ("ph_25c", cooled),
            ("deposition_um_h", now.deposition_um_h),
            ("deposition_now_um_h", now.deposition_now_um_h),
            (&*tank.alloy_column, now.alloy_wt_pct),
            ("reductant_per_metal_mol", now.reductant_per_metal_mol),
            ("free_metal_mol_l", now.free_metal_mol_l),
            ("ionic_strength_mol_l", now.ionic_strength_mol_l),
            ("ph_corrector_g_l", per_bath(PH) * tank.ph_corrector_g_l),
            ("metal_replenisher_ml_l", per_bath(METAL) * 1e3),
            ("reductant_replenisher_ml_l", per_bath(REDUCTANT) * 1e3),
            ("deposit_g", layer.mass_g),
            ("hydrogen_l", hydrogen_l(tank, &layout.evolved().map(amount).collect::<Vec<f64>>())),
        ]
        .into_iter()
        .map(|(name, value)| (name.to_owned(), value))
        .collect();
        for (name, total) in tank.equilibrium.component_names().iter().zip(&now.totals_mol_l) {
            row.push((format!("{name}_mol_l"), *total));
        }
        self.table.push(row);
        Ok(())
    }
}
