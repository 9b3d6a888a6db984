//! A run under way: from stop to stop, and what is done there.

use std::rc::Rc;

use bathkin_numerics::{Options, advance};

use super::EventRecord;
use super::additions::Operator;
use super::laboratory::Laboratory;
use super::limits::{Limit, TURNOVER_TOLERANCE};
use super::loads::LoadBook;
use super::no_progress;
use super::rounding::Size;
use super::schedule::Schedule;
use super::segment::{Call, Segment};
use super::settings::{Settings, failed};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::tank::readings::turnovers;
use crate::tank::{Balances, Hours, Move, Readings, Tank, Work};

/// What ends the life of a tank that all but emptied.
pub(crate) const BATH_USED_UP: &str = "bath used up";
/// What ends the life of a bath that dried up.
pub(crate) const WATER_USED_UP: &str = "water used up";
/// Most rounds of events and doses at one instant.
const MOST_ROUNDS: usize = 10_000;

/// A life under way.
pub(super) struct Run<'a> {
    pub(super) balances: &'a Balances<'a>,
    pub(super) segment: Segment<'a>,
    pub(super) operator: Operator<'a>,
    /// A row at make-up and at every turnover.
    pub(super) rows: Vec<Readings>,
    options: Options,
    pub(super) state: Vec<f64>,
    /// Clock time, s.
    pub(super) time: f64,
    /// Clock time at which to give up, s.
    pub(super) end: f64,
    pub(super) schedule: Schedule<'a>,
    pub(super) loads: LoadBook,
    pub(super) happened: Vec<EventRecord>,
    laboratory: Option<Laboratory>,
    hint: Option<f64>,
}

impl<'a> Run<'a> {
    /// A run of a tank from a (scaled) state on; `fresh_ph` is the fresh bath's pH at its temperature.
    pub(super) fn new(
        balances: &'a Balances<'a>,
        limits: &'a [Limit],
        settings: &Settings,
        fresh_ph: f64,
        state: Vec<f64>,
    ) -> Self {
        let tank = balances.tank();
        Run {
            balances,
            segment: Segment::new(balances, limits, fresh_ph, &state),
            operator: Operator::new(balances, &state),
            rows: Vec::new(),
            options: Options {
                relative_tolerance: settings.relative_tolerance,
                absolute_tolerance: settings.relative_tolerance * 1e-2,
                event_time_tolerance: settings.event_time_tolerance_s,
                max_steps: settings.max_steps,
                samples_per_step: 1,
                ..Options::default()
            },
            state,
            time: 0.0,
            end: settings.longest_clock_h * SECONDS_PER_HOUR,
            schedule: Schedule::new(tank),
            loads: LoadBook::default(),
            happened: Vec::new(),
            laboratory: Laboratory::of_tank(tank).filter(|_| !exact(tank)),
            hint: None,
        }
    }

    /// The same of a bath at a clock time, s, of its schedule: what was due before then was done or left.
    pub(super) fn since(mut self, clock_s: f64) -> Self {
        let (now, now_plated) = turnovers(self.balances, &self.state);
        self.time = clock_s;
        self.schedule.skip_to(clock_s, now.max(now_plated));
        self.segment.skip_rows(now);
        self
    }

    /// Sets out: the first events to wait for, the first racks in.
    pub(super) fn begin(&mut self) {
        self.wait_for_events();
        self.move_racks();
        self.schedule.note_work(self.time);
    }

    /// Brings the ledger up to date and holds it against what was fed.
    pub(super) fn close_ledger(&mut self) -> Result<()> {
        self.operator.book_flows(self.time, &self.state);
        self.operator.check_ledger(&self.state)
    }

    pub(super) fn readings(&self) -> Result<Rc<Readings>> {
        self.segment.readings(self.time, &self.state).map_err(|error| error.at_time(self.clock_h()))
    }

    /// Clock time, h.
    pub(super) fn clock_h(&self) -> f64 {
        self.time / SECONDS_PER_HOUR
    }

    /// Carries the tank to the next change of load, analysis, event or the end.
    pub(super) fn carry_to_next_stop(&mut self) -> Result<()> {
        let tank = self.balances.tank();
        self.balances.set_area_m2(self.schedule.area_m2(self.time));
        self.segment.attend(tank.operation.policies.hours == Hours::Any || self.schedule.is_working());
        let ramp = self.schedule.ramp(self.time);
        self.segment.follow(ramp);
        self.balances.set_temperature_k(ramp.at_k(self.time));
        self.balances.set_level_status(tank.plant.level.status(self.balances.volume_l(&self.state)));
        let result_s = self.laboratory.as_ref().map_or(f64::INFINITY, Laboratory::next_s);
        // A result that came while nobody was there waits like everything else.
        let result_s = if result_s > self.time { result_s } else { f64::INFINITY };
        let last = self.end.min(self.segment.clock_limit_s());
        self.segment.set_out(self.time);
        let stop = self.schedule.next_s(self.time, &ramp).min(result_s).min(last);
        if self.balances.area_m2() == 0.0 && tank.rests_when_idle() {
            // Nothing moves in an idle tank.
            self.time = stop;
        } else {
            let arrival = advance(&self.segment, self.time, &mut self.state, stop, self.hint, &self.options)
                .map_err(|error| failed(error, self.balances, self.state.len()))?;
            (self.time, self.hint) = (arrival.time, Some(arrival.next_step));
        }
        self.balances.set_temperature_k(ramp.at_k(self.time));
        Ok(())
    }

    /// Racks out and in, water, declared events, then the additions the policies call for, until nothing more
    /// is called for at this instant: a dose may complete the turnovers an event waits for, and an event call
    /// for a dose. A dose of metal moves the pH, so the pH is looked at after it. Pumps come last: what they
    /// hold is held whatever else is done.
    ///
    /// # Errors
    /// [`Error::Simulation`] when events and policies call for each other without end.
    pub(super) fn do_what_is_due(&mut self) -> Result<()> {
        let done = self.work_at_a_stop();
        done.map_err(|error| error.at_time(self.clock_h()))
    }

    fn work_at_a_stop(&mut self) -> Result<()> {
        let worked = self.schedule.is_working();
        let before = self.of_bath().to_vec();
        self.operator.spill(&mut self.state);
        self.move_racks();
        self.schedule.note_work(self.time);
        if self.schedule.water_due(self.time) {
            self.operator.fill_up(self.time, &mut self.state);
        }
        // At the end of a shift somebody is still there.
        let hours = self.balances.tank().operation.policies.hours;
        let attended = hours == Hours::Any || worked || self.schedule.is_working();
        self.segment.attend(attended);
        let mut rounds = 0;
        loop {
            let happened = self.do_declared_events()?;
            if self.segment.is_empty(self.balances.volume_l(&self.state)) {
                // Nobody doses what is no bath any more.
                return Ok(());
            }
            let lines = self.operator.ledger.additions.len();
            self.add_what_is_called_for(attended)?;
            if !happened && self.operator.ledger.additions.len() == lines {
                break;
            }
            rounds += 1;
            if rounds > MOST_ROUNDS {
                return Err(self.no_progress());
            }
        }
        if self.of_bath() != before.as_slice() {
            self.operator.pumps_hold(self.time, &mut self.state)?;
        }
        Ok(())
    }

    /// The liquid and its volume, scaled.
    fn of_bath(&self) -> &[f64] {
        &self.state[self.balances.layout().liquid()]
    }

    /// What analyses, clocks, plated metal and readings call for.
    fn add_what_is_called_for(&mut self, attended: bool) -> Result<()> {
        if attended {
            self.analyse()?;
            self.dose()?;
        }
        if self.segment.calls_for(Call::Metal, &self.state, &*self.readings()?) {
            self.operator.add_metal(self.time, &mut self.state, None, "metal low")?;
        }
        if attended && self.schedule.ph_due(self.time) {
            self.operator.correct_ph(self.time, &mut self.state, Size::Lacking, "by the clock")?;
        }
        if self.segment.calls_for(Call::Ph, &self.state, &*self.readings()?) {
            self.operator.correct_ph(self.time, &mut self.state, Size::Called, "pH low")?;
        }
        Ok(())
    }

    /// Takes the sample that is due, and adds what the results that have come call for.
    fn analyse(&mut self) -> Result<()> {
        let due = self.schedule.analysis_due(self.time);
        let Some(laboratory) = &mut self.laboratory else {
            return if due {
                self.operator.add_metal(self.time, &mut self.state, None, "analysis")
            } else {
                Ok(())
            };
        };
        if due {
            let (layout, roles) = (self.balances.layout(), self.balances.tank().bath.roles);
            let volume_l = self.balances.volume_l(&self.state);
            let content = |slot: usize| self.state[slot] * layout.scale()[slot] / volume_l;
            laboratory.sample(self.time, content(roles.metal), content(roles.reductant));
        }
        while let Some(found) = laboratory.result(self.time) {
            self.operator.add_metal(self.time, &mut self.state, Some(found), "analysis")?;
        }
        Ok(())
    }

    /// Gives the doses that are due by the clock and by what was plated.
    fn dose(&mut self) -> Result<()> {
        for (number, (solution, occasion)) in self.balances.tank().operation.occasions().enumerate() {
            let Some(volume_l) = occasion.volume_l() else { continue };
            if self.schedule.dose_due(number, occasion, self.time) {
                self.operator.add_dose(self.time, &mut self.state, solution, volume_l, "by the clock")?;
            }
            while self.segment.dose_due(number, occasion, &self.state) {
                self.operator.add_dose(self.time, &mut self.state, solution, volume_l, "by plating")?;
            }
        }
        Ok(())
    }

    /// Takes out, puts in and starts the racks that are due.
    fn move_racks(&mut self) {
        let Work::Loads(loads) = &self.balances.tank().operation.work else { return };
        while let Some(moment) = self.schedule.next_move(self.time) {
            let load = &loads.racks()[moment.load];
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

    /// Does what is declared for this instant, each event once; true when something was.
    fn do_declared_events(&mut self) -> Result<bool> {
        let tank = self.balances.tank();
        let before = self.happened.len();
        for (index, event) in tank.operation.events.iter().enumerate() {
            let turnovers = turnovers(self.balances, &self.state).0;
            if !self.schedule.event_due(index, self.time, turnovers + TURNOVER_TOLERANCE) {
                continue;
            }
            self.operator.apply_event(self.time, &mut self.state, event)?;
            self.happened.push(EventRecord {
                clock_h: self.time / SECONDS_PER_HOUR,
                turnovers,
                event: event.name.clone(),
                what: event.words(tank.bath.equilibrium.component_names()),
                doubtful_after: event.unlisted,
            });
        }
        self.wait_for_events();
        Ok(self.happened.len() > before)
    }

    fn wait_for_events(&mut self) {
        for event in 0..self.balances.tank().operation.events.len() {
            self.segment.wait_for(event, self.schedule.event_turnovers(event));
        }
    }

    /// What the bath has run out of, if anything, or that it dissolves the work.
    pub(super) fn run_dry(&self, readings: &Readings) -> Option<String> {
        let tank = self.balances.tank();
        let dry = |call, component: usize| {
            self.segment
                .calls_for(call, &self.state, readings)
                .then(|| format!("{} used up", tank.bath.equilibrium.component_names()[component]))
        };
        let calls = |call| self.segment.calls_for(call, &self.state, readings);
        let dissolves =
            || format!("{} dissolves", tank.bath.equilibrium.component_names()[tank.bath.roles.metal]);
        dry(Call::MetalUsedUp, tank.bath.roles.metal)
            .or_else(|| dry(Call::ReductantUsedUp, tank.bath.roles.reductant))
            .or_else(|| calls(Call::VolumeUsedUp).then(|| BATH_USED_UP.to_owned()))
            .or_else(|| calls(Call::WaterUsedUp).then(|| WATER_USED_UP.to_owned()))
            .or_else(|| calls(Call::Dissolves).then(dissolves))
    }

    fn no_progress(&self) -> Error {
        self.stopped(no_progress::at_one_instant(&self.operator.ledger, &self.happened))
    }

    /// What to say of more stops than a run may have.
    pub(super) fn too_many_stops(&self, stops: u64) -> Error {
        let since_h = self.time / SECONDS_PER_HOUR;
        self.stopped(no_progress::over_time(&self.operator.ledger, &self.happened, stops, since_h))
    }

    pub(super) fn stopped(&self, reason: String) -> Error {
        Error::Simulation { time_h: self.clock_h(), reason }
    }

    /// Keeps a row when a turnover is complete.
    pub(super) fn write_row(&mut self, readings: &Readings) -> Result<()> {
        if readings.turnovers >= self.segment.next_row() - TURNOVER_TOLERANCE {
            self.row(readings)?;
            self.operator.book_flows(self.time, &self.state);
            self.segment.row_done();
        }
        Ok(())
    }

    /// Keeps a row.
    pub(super) fn row(&mut self, readings: &Readings) -> Result<()> {
        self.rows.push(readings.clone().cooled(self.balances)?);
        Ok(())
    }
}

/// True when additions follow what the bath itself lacks, so that there is nothing to wait for.
fn exact(tank: &Tank) -> bool {
    tank.operation.policies.analysis().is_some_and(|analysis| analysis.is_exact())
}
