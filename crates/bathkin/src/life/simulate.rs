//! The run: make-up, stretches, stops, verdict.

use bathkin_numerics::{IntegrationError, Options, advance};

use super::additions::Operator;
use super::clouding::SolidStanding;
use super::film_standing::FilmStanding;
use super::ledger::Ledger;
use super::limits::{A_HAIR_OF_A_TURNOVER, Limit};
use super::loads::LoadBook;
use super::readings::{Readings, share, turnovers};
use super::recorder::{Recorder, hydrogen_l};
use super::schedule::Schedule;
use super::segment::{Call, Segment};
use super::{Balance, Effort, Happening, Life, ReductantFeed, Verdict, stress};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::tank::accounts::{ALLOWED_RESIDUAL, Accounts};
use crate::tank::{Balances, MetalPolicy, Move, PhPolicy, Tank, Volume, WATER_MOL_L, Work};

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
    let state = fresh_state(&balances, fresh_totals_mol_l);
    let fresh_ph = balances.observe(&state, |observed, _, _| observed.ph)?;
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
    let mut run = Run {
        balances: &balances,
        segment: Segment::new(&balances, limits, fresh_ph),
        operator: Operator::new(&balances),
        recorder: Recorder::new(&balances),
        options,
        fresh_ph,
        state,
        time: 0.0,
        end: settings.longest_clock_h * SECONDS_PER_HOUR,
        schedule: Schedule::new(tank),
        loads: LoadBook::default(),
        happened: Vec::new(),
        analysis_due: false,
        hint: None,
    };
    run.wait_for_events();
    run.move_racks();
    run.schedule.note_work(0.0);
    run.recorder.row(0.0, &run.state, &fresh)?;
    let mut solids = SolidStanding::of_tank(tank);
    SolidStanding::look(&mut solids, 0.0, &fresh);
    let mut film = tank.film.is_some().then(FilmStanding::default);
    FilmStanding::look(&mut film, &balances, 0.0, &run.state)?;

    let mut stops = 0;
    let mut worst = (0.0, String::from("nothing"));
    let reached = loop {
        run.carry_to_next_stop()?;
        stops += 1;
        let mut readings = run.readings()?;
        SolidStanding::look(&mut solids, run.time, &readings);
        let mut over = first_reached(limits, &readings).or_else(|| run.run_dry(&readings));
        FilmStanding::look(&mut film, &balances, run.time, &run.state)?;
        if over.is_none() {
            run.do_what_is_due()?;
            readings = run.readings()?;
            SolidStanding::look(&mut solids, run.time, &readings);
            over = first_reached(limits, &readings);
        }
        keep_books(&balances, &accounts, &run.state, run.time, &mut worst)?;
        if over.is_some() {
            break over;
        }
        run.write_row(&readings)?;
        if run.time >= run.end {
            break None;
        }
        if !report(readings.turnovers) {
            return Err(run.stopped("interrupted".to_owned()));
        }
        if stops > MOST_STOPS {
            return Err(run.stopped(format!("more than {MOST_STOPS} stops: the policies chase each other")));
        }
    };

    let last = run.readings()?;
    run.recorder.row(run.time, &run.state, &last)?;
    let Run { operator, recorder, loads, happened, state, time, .. } = run;
    let amounts = unscaled(&balances, &state);
    Ok(Life {
        verdict: Verdict {
            limit: reached.unwrap_or_else(|| "none".to_owned()),
            clock_h: time / SECONDS_PER_HOUR,
            plating_h: recorder.plating_s / SECONDS_PER_HOUR,
            turnovers: last.turnovers,
            turnovers_plated: last.turnovers_plated,
            area_m2: amounts[layout.area()],
        },
        limits: limits.iter().map(|limit| limit.standing(&fresh, &last)).collect(),
        solids,
        film,
        stress: stress::standing(tank, &fresh, &last),
        table: recorder.table,
        ledger: with_pumps(operator.ledger, tank, &amounts[layout.fed()], time),
        balance: Balance { max_relative_residual: worst.0, worst: worst.1, allowed: ALLOWED_RESIDUAL },
        reductant_feed: reductant_feed(tank, &amounts, &balances, fresh_totals_mol_l),
        loads: loads.records,
        events: happened,
        hydrogen_l: hydrogen_l(tank, &amounts[layout.evolved()]),
        effort: Effort { right_hand_sides: balances.evaluations(), stops },
    })
}

/// A life under way.
struct Run<'a> {
    balances: &'a Balances<'a>,
    segment: Segment<'a>,
    operator: Operator<'a>,
    recorder: Recorder<'a>,
    options: Options,
    fresh_ph: f64,
    state: Vec<f64>,
    /// Clock time, s.
    time: f64,
    /// Clock time at which to give up, s.
    end: f64,
    schedule: Schedule<'a>,
    loads: LoadBook,
    happened: Vec<Happening>,
    /// An analysis is due at this stop.
    analysis_due: bool,
    hint: Option<f64>,
}

impl Run<'_> {
    fn readings(&self) -> Result<Readings> {
        Ok(Readings::take(self.balances, &self.state, self.fresh_ph)?.at(self.time))
    }

    /// Carries the tank to the next change of load, analysis, event or the end.
    fn carry_to_next_stop(&mut self) -> Result<()> {
        let tank = self.balances.tank();
        self.balances.set_area_m2(self.schedule.area_m2(self.time));
        let ramp = self.schedule.ramp(self.time);
        self.segment.follow(ramp);
        self.balances.set_temperature_k(ramp.at_k(self.time));
        self.balances.set_standing(tank.level.standing(self.balances.volume_l(&self.state)));
        let stop = self.schedule.next_s(self.time, &ramp).min(self.end).min(self.segment.clock_limit_s());
        if self.balances.area_m2() == 0.0 && tank.rests_when_idle() {
            // Nothing moves in an idle tank.
            self.time = stop;
        } else {
            let arrival = advance(&self.segment, self.time, &mut self.state, stop, self.hint, &self.options)
                .map_err(in_hours)?;
            if self.balances.area_m2() > 0.0 {
                self.recorder.plating_s += arrival.time - self.time;
            }
            (self.time, self.hint) = (arrival.time, Some(arrival.next_step));
        }
        self.balances.set_temperature_k(ramp.at_k(self.time));
        self.analysis_due = self.schedule.analysis_due(self.time);
        Ok(())
    }

    /// Racks out and in, water, declared events, then the additions the policies call for. A dose of
    /// metal moves the pH, so the pH is looked at last.
    fn do_what_is_due(&mut self) -> Result<()> {
        self.operator.spill(&mut self.state);
        self.move_racks();
        self.schedule.note_work(self.time);
        if self.schedule.water_due(self.time) {
            self.operator.fill_up(self.time, &mut self.state);
        }
        self.do_declared_events()?;
        if self.analysis_due {
            self.operator.add_metal(self.time, &mut self.state, "analysis")?;
        }
        if self.segment.calls_for(Call::Metal, &self.state, &self.readings()?) {
            self.operator.add_metal(self.time, &mut self.state, "metal low")?;
        }
        if self.segment.calls_for(Call::Ph, &self.state, &self.readings()?) {
            self.operator.correct_ph(self.time, &mut self.state, "pH low")?;
        }
        Ok(())
    }

    /// Takes out, puts in and starts the racks that are due.
    fn move_racks(&mut self) {
        let Work::Loads(loads) = &self.balances.tank().work else { return };
        while let Some(moment) = self.schedule.next_move(self.time) {
            let load = &loads[moment.load];
            match moment.what {
                Move::In => {
                    self.loads.goes_in(&moment);
                    self.operator.put_in(&mut self.state, load.area_m2);
                }
                Move::Starts => self.loads.starts(&moment, self.balances, &self.state),
                Move::Out => {
                    self.loads.comes_out(&moment, load, self.balances, &self.state);
                    self.operator.lift_out(&mut self.state, load.area_m2, load.drain_s);
                }
            }
        }
    }

    fn do_declared_events(&mut self) -> Result<()> {
        let tank = self.balances.tank();
        let before = self.happened.len();
        for (index, event) in tank.events.iter().enumerate() {
            let turnovers = turnovers(self.balances, &self.state).0 + A_HAIR_OF_A_TURNOVER;
            if self.schedule.event_due(index, self.time, turnovers) {
                self.operator.happen(self.time, &mut self.state, event);
                self.happened.push(Happening {
                    clock_h: self.time / SECONDS_PER_HOUR,
                    turnovers,
                    event: event.name.clone(),
                    what: event.words(tank.equilibrium.component_names()),
                    doubtful_after: event.unlisted,
                });
            }
        }
        if self.happened.len() > before {
            self.pumps_restore()?;
        }
        self.wait_for_events();
        Ok(())
    }

    /// Pumps that hold a bath bring it back at once after a step that no flow can answer.
    fn pumps_restore(&mut self) -> Result<()> {
        let policies = self.balances.tank().policies;
        if policies.metal == MetalPolicy::Continuous {
            self.operator.add_metal(self.time, &mut self.state, "after an event")?;
        }
        if policies.ph == PhPolicy::Continuous {
            self.operator.correct_ph(self.time, &mut self.state, "after an event")?;
        }
        Ok(())
    }

    fn wait_for_events(&mut self) {
        for event in 0..self.balances.tank().events.len() {
            self.segment.wait_for(event, self.schedule.event_turnovers(event));
        }
    }

    /// What the bath has run out of, if anything.
    fn run_dry(&self, readings: &Readings) -> Option<String> {
        let tank = self.balances.tank();
        let dry = |call, component: usize| {
            self.segment
                .calls_for(call, &self.state, readings)
                .then(|| format!("{} used up", tank.equilibrium.component_names()[component]))
        };
        let empty = self.segment.calls_for(Call::VolumeUsedUp, &self.state, readings);
        dry(Call::MetalUsedUp, tank.roles.metal)
            .or_else(|| dry(Call::ReductantUsedUp, tank.roles.reductant))
            .or_else(|| empty.then(|| "bath used up".to_owned()))
    }

    fn stopped(&self, reason: String) -> Error {
        Error::Simulation { time_h: self.time / SECONDS_PER_HOUR, reason }
    }

    fn write_row(&mut self, readings: &Readings) -> Result<()> {
        if readings.turnovers >= self.segment.next_row() - A_HAIR_OF_A_TURNOVER {
            self.recorder.row(self.time, &self.state, readings)?;
            self.segment.row_done();
        }
        Ok(())
    }
}

fn first_reached(limits: &[Limit], readings: &Readings) -> Option<String> {
    limits.iter().find(|limit| limit.margin(readings) <= 0.0).map(|limit| limit.name.clone())
}

/// The ledger with a line for what the pumps fed, which no dose accounts for.
fn with_pumps(mut ledger: Ledger, tank: &Tank, fed_l: &[f64], time_s: f64) -> Ledger {
    // Below a drop is round-off between the two sums.
    let a_drop_l = 1e-6 * tank.volume_l;
    for (which, (replenisher, volume)) in tank.replenishers.iter().zip(fed_l).enumerate() {
        let pumped = volume - ledger.volume_l(&replenisher.name);
        // What clings to the work comes in by itself.
        if tank.policies.pumps() && tank.drag_in != Some(which) && pumped > a_drop_l {
            ledger.write(time_s / SECONDS_PER_HOUR, &replenisher.name, pumped, "pumped over the life");
        }
    }
    ledger
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
    state[layout.volume(Volume::Bath)] = tank.volume_l;
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
            key: limit.path.clone(),
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
    let time_h = error.time().unwrap_or(f64::NAN) / SECONDS_PER_HOUR;
    let reason = match error {
        IntegrationError::RightHandSide { source, .. } | IntegrationError::EventFunction { source, .. } => {
            source.to_string()
        }
        other => other.to_string(),
    };
    Error::Simulation { time_h, reason }
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
    ReductantFeed {
        fed_per_metal_mol: share(brought(reductant), brought(tank.roles.metal)),
        used_per_metal_mol: share(used, plated),
        set_point_mol_l: tank.set_points.reductant_mol_l,
        end_mol_l: amounts[reductant] / amounts[layout.volume(Volume::Bath)],
    }
}
