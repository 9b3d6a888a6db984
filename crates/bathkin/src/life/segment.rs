//! A stretch of time between stops, as the integrator sees it.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use bathkin_numerics::{Crossing, Problem};

use super::limits::Limit;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::tank::quantity::{Needs, Quantity};
use crate::tank::readings::turnovers;
use crate::tank::{Balances, Level, MetalPolicy, Occasion, PhPolicy, Ramp, Readings, When};

/// What a stop inside a stretch calls for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Call {
    /// Limit number so-and-so is reached.
    Limit(usize),
    /// Metal has fallen to where it is added.
    Metal,
    /// The pH has fallen by its dead band.
    Ph,
    /// The next turnover is complete (pumped feed only).
    Row,
    /// Occasion number so-and-so is due by what was plated.
    Dose(usize),
    /// Declared event number so-and-so is due by its turnovers.
    Event(usize),
    /// The bath has risen to its brim.
    Brim,
    /// The bath has fallen to its float.
    Float,
    /// The bath has all but gone.
    VolumeUsedUp,
    /// There is not enough water left to be a solution.
    WaterUsedUp,
    /// There is no metal left to plate.
    MetalUsedUp,
    /// There is no reductant left.
    ReductantUsedUp,
    /// The work loses its metal (partial currents only).
    Dissolves,
}

/// The balances of a tank, with the events that interrupt them.
pub struct Segment<'a> {
    balances: &'a Balances<'a>,
    limits: &'a [Limit],
    calls: Vec<Call>,
    next_row: f64,
    fresh_ph: f64,
    /// Turnovers each declared event waits for.
    event_turnovers: Vec<Option<f64>>,
    ramp: Cell<Ramp>,
    /// Doses of every occasion so far, of those that go by what was plated.
    doses: Vec<f64>,
    /// Somebody is there to answer a reading.
    attended: bool,
    /// Whether a limit watches the pH of a cooled sample.
    cooled: bool,
    /// When this stretch began, with how much plating before it and whether it plates, s.
    began: Cell<(f64, f64, bool)>,
    /// The last reading: a stop asks for the same one several times.
    last: RefCell<Option<Seen>>,
}

/// A reading with what it depends on.
struct Seen {
    temperature_k: f64,
    state: Vec<f64>,
    readings: Rc<Readings>,
}

impl<'a> Segment<'a> {
    /// The events of a tank under its policies from a state on.
    pub fn new(balances: &'a Balances<'a>, limits: &'a [Limit], fresh_ph: f64, state: &[f64]) -> Self {
        let tank = balances.tank();
        let policies = tank.operation.policies;
        let mut calls: Vec<Call> = (0..limits.len()).map(Call::Limit).collect();
        if matches!(policies.metal, MetalPolicy::Threshold { .. }) {
            calls.push(Call::Metal);
        }
        if matches!(policies.ph, PhPolicy::DeadBand { .. }) {
            calls.push(Call::Ph);
        }
        if policies.metal == MetalPolicy::Continuous {
            calls.push(Call::Row);
        }
        let plated = |(_, occasion): (usize, Occasion)| plated_counter(balances, state, occasion);
        let counters: Vec<Option<f64>> = tank.operation.occasions().map(plated).collect();
        calls.extend((0..counters.len()).filter(|number| counters[*number].is_some()).map(Call::Dose));
        let by_turnovers =
            |event: &usize| matches!(tank.operation.events[*event].when, When::Turnovers { .. });
        calls.extend((0..tank.operation.events.len()).filter(by_turnovers).map(Call::Event));
        if let Level::Free { float_l, .. } = tank.plant.level {
            calls.extend([Call::Brim, Call::VolumeUsedUp]);
            calls.extend(float_l.map(|_| Call::Float));
        }
        calls.extend([Call::WaterUsedUp, Call::MetalUsedUp, Call::ReductantUsedUp]);
        calls.extend(tank.bath.kinetics.mixed_potential().map(|_| Call::Dissolves));
        Segment {
            balances,
            limits,
            calls,
            next_row: 1.0,
            fresh_ph,
            event_turnovers: vec![None; tank.operation.events.len()],
            ramp: Cell::new(Ramp::held(tank.operation.temperature_k)),
            doses: counters.into_iter().map(|counter| counter.unwrap_or(0.0).floor()).collect(),
            attended: true,
            cooled: limits.iter().any(|limit| limit.quantity.entry().needs == Needs::CooledSample),
            began: Cell::new((0.0, 0.0, false)),
            last: RefCell::new(None),
        }
    }

    /// Reads the bath at a (scaled) state, at the temperature it has.
    ///
    /// # Errors
    /// As [`Readings::take`].
    pub fn readings(&self, time_s: f64, state: &[f64]) -> Result<Rc<Readings>> {
        let temperature_k = self.balances.temperature_k();
        let plating_s = self.plating_s(time_s);
        let last = &mut *self.last.borrow_mut();
        if let Some(seen) = last
            && seen.temperature_k == temperature_k
            && seen.state == state
        {
            if !seen.readings.is_at(time_s, plating_s) {
                seen.readings = Rc::new(seen.readings.as_ref().clone().at(time_s, plating_s));
            }
            return Ok(Rc::clone(&seen.readings));
        }
        let mut readings = Readings::take(self.balances, state, self.fresh_ph)?;
        if self.cooled {
            readings = readings.cooled(self.balances)?;
        }
        let readings = Rc::new(readings.at(time_s, plating_s));
        match last {
            Some(seen) => {
                seen.temperature_k = temperature_k;
                seen.state.copy_from_slice(state);
                seen.readings = Rc::clone(&readings);
            }
            None => {
                *last = Some(Seen { temperature_k, state: state.to_vec(), readings: Rc::clone(&readings) })
            }
        }
        Ok(readings)
    }

    /// Begins a stretch with the area that is in the tank.
    pub fn set_out(&self, time_s: f64) {
        self.began.set((time_s, self.plating_s(time_s), self.balances.area_m2() > 0.0));
    }

    /// Time with work in the tank, s.
    pub fn plating_s(&self, time_s: f64) -> f64 {
        let (began_s, before_s, plates) = self.began.get();
        if plates { before_s + (time_s - began_s) } else { before_s }
    }

    /// Whether somebody is there to answer a reading from now on.
    pub fn attend(&mut self, attended: bool) {
        self.attended = attended;
    }

    /// True once for each dose due by what was plated.
    pub fn dose_due(&mut self, number: usize, occasion: Occasion, state: &[f64]) -> bool {
        let counter = plated_counter(self.balances, state, occasion);
        let due = counter.is_some_and(|counter| counter >= self.doses[number] + 1.0 - DOSE_TOLERANCE);
        if due {
            self.doses[number] += 1.0;
        }
        due
    }

    /// True when the policies call for this now.
    pub fn calls_for(&self, call: Call, state: &[f64], readings: &Readings) -> bool {
        self.calls.contains(&call) && self.value(call, state, readings) <= 0.0
    }

    /// True of a tank that all but emptied.
    pub fn is_empty(&self, volume_l: f64) -> bool {
        self.calls.contains(&Call::VolumeUsedUp)
            && volume_l <= LEAST_VOLUME * self.balances.tank().plant.volume_l
    }

    /// The next turnover that makes a row.
    pub fn next_row(&self) -> f64 {
        self.next_row
    }

    /// Clock time of the earliest limit on it, s; infinite without one. An idle tank is not integrated, so
    /// that no event would find it there.
    pub fn clock_limit_s(&self) -> f64 {
        let clocks = self.limits.iter().filter(|limit| limit.quantity == Quantity::CLOCK_H && !limit.floor);
        clocks.map(|limit| limit.bound * SECONDS_PER_HOUR).fold(f64::INFINITY, f64::min)
    }

    /// Leaves out the rows up to so many turnovers.
    pub fn skip_rows(&mut self, turnovers: f64) {
        self.next_row = turnovers.floor().max(0.0) + 1.0;
    }

    /// Waits for the turnover after this one.
    pub fn row_done(&mut self) {
        self.next_row += 1.0;
    }

    /// The temperature from now on.
    pub fn follow(&self, ramp: Ramp) {
        self.ramp.set(ramp);
    }

    /// Waits for a declared event by its turnovers, or no longer.
    pub fn wait_for(&mut self, event: usize, turnovers: Option<f64>) {
        self.event_turnovers[event] = turnovers;
    }

    fn value(&self, call: Call, state: &[f64], readings: &Readings) -> f64 {
        if let Some(value) = self.value_of_state(call, state) {
            return value;
        }
        let tank = self.balances.tank();
        match (call, tank.operation.policies.ph) {
            (Call::Limit(index), _) => self.limits[index].margin(tank, readings),
            (Call::Ph, PhPolicy::DeadBand { width, .. }) => self.above_dead_band(readings.ph_read, width),
            (Call::WaterUsedUp, _) => readings.water_kg_l - LEAST_WATER_KG_L,
            // Where nothing plates nothing dissolves either.
            (Call::Dissolves, _) => readings.metal_mol_m2_s + STANDS_STILL_MOL_M2_S,
            // A call without its policy never made it into the list.
            _ => 1.0,
        }
    }

    /// How far a pH stands above the lower end of its dead band.
    fn above_dead_band(&self, ph_read: f64, width: f64) -> f64 {
        ph_read - (self.balances.tank().operation.set_points.ph - width)
    }

    /// What a call waits for, where amounts and volumes tell it without the equilibrium.
    fn value_of_state(&self, call: Call, state: &[f64]) -> Option<f64> {
        let (balances, tank) = (self.balances, self.balances.tank());
        let (roles, set_points) = (tank.bath.roles, tank.operation.set_points);
        let total = |component: usize| balances.total_mol_l(state, component);
        Some(match call {
            Call::Metal | Call::Ph if !self.attended => 1.0,
            Call::Dose(number) => {
                let counter = tank
                    .operation
                    .occasions()
                    .nth(number)
                    .and_then(|(_, occasion)| plated_counter(balances, state, occasion));
                self.doses[number] + 1.0 - counter.unwrap_or(0.0)
            }
            Call::Metal => {
                let MetalPolicy::Threshold { fraction } = tank.operation.policies.metal else { return None };
                total(roles.metal) / set_points.metal_mol_l - fraction
            }
            Call::Row => self.next_row - turnovers(balances, state).0,
            Call::Event(event) => {
                self.event_turnovers[event].map_or(1.0, |at| at - turnovers(balances, state).0)
            }
            Call::Brim => match tank.plant.level {
                Level::Free { brim_l, .. } => (brim_l - balances.volume_l(state)) / tank.plant.volume_l,
                Level::Held => 1.0,
            },
            Call::Float => match tank.plant.level {
                Level::Free { float_l: Some(float_l), .. } => {
                    (balances.volume_l(state) - float_l) / tank.plant.volume_l
                }
                _ => 1.0,
            },
            Call::VolumeUsedUp => balances.volume_l(state) / tank.plant.volume_l - LEAST_VOLUME,
            Call::MetalUsedUp => used_up(total(roles.metal), set_points.metal_mol_l),
            Call::ReductantUsedUp => used_up(total(roles.reductant), set_points.reductant_mol_l),
            Call::Dissolves if balances.area_m2() == 0.0 => 1.0,
            Call::Limit(_) | Call::Ph | Call::WaterUsedUp | Call::Dissolves => return None,
        })
    }
}

/// A rack or a stretch completes a dose to the last bit or a hair short of it.
const DOSE_TOLERANCE: f64 = 1e-9;

/// How many doses what was plated so far amounts to; none for an occasion that goes by something else.
fn plated_counter(balances: &Balances, state: &[f64], occasion: Occasion) -> Option<f64> {
    match occasion {
        Occasion::Turnovers { every, .. } => Some(turnovers(balances, state).1 / every),
        Occasion::Area { every_m2, .. } => {
            let slot = balances.layout().area();
            Some(state[slot] * balances.layout().scale()[slot] / every_m2)
        }
        _ => None,
    }
}

/// A loss this slow, some 0.2 nm of nickel in a year, is round-off.
pub(super) const STANDS_STILL_MOL_M2_S: f64 = 1e-12;

/// A tank with less than this part of its make-up volume has no bath to speak of.
const LEAST_VOLUME: f64 = 0.05;

/// A litre with less water than this, kg, is a slurry: salts take up half of it (estimated; no bath that is sold as a
/// solution comes near, and the equilibrium gives out further on).
const LEAST_WATER_KG_L: f64 = 0.5;

/// Positive while there is more than a trace of what a set-point holds. A law of order zero would
/// go on using what is no longer there, so the run stops here.
pub(super) fn used_up(total_mol_l: f64, set_point_mol_l: f64) -> f64 {
    const TRACE: f64 = 1e-9;
    total_mol_l / set_point_mol_l - TRACE
}

impl Problem for Segment<'_> {
    type Error = Error;

    fn dimension(&self) -> usize {
        self.balances.layout().len()
    }

    fn derivative(&self, time: f64, state: &[f64], derivative: &mut [f64]) -> Result<()> {
        self.balances.set_temperature_k(self.ramp.get().at_k(time));
        self.balances.derivative(state, derivative)
    }

    fn event_count(&self) -> usize {
        self.calls.len()
    }

    fn event_values(&self, time: f64, state: &[f64], values: &mut [f64]) -> Result<()> {
        self.balances.set_temperature_k(self.ramp.get().at_k(time));
        let readings = self.readings(time, state)?;
        for (value, call) in values.iter_mut().zip(&self.calls) {
            *value = self.value(*call, state, &readings);
        }
        Ok(())
    }

    fn event_value(&self, index: usize, time: f64, state: &[f64], _: &mut [f64]) -> Result<f64> {
        let call = self.calls[index];
        if let Some(value) = self.value_of_state(call, state) {
            return Ok(value);
        }
        self.balances.set_temperature_k(self.ramp.get().at_k(time));
        if let (Call::Ph, PhPolicy::DeadBand { width, .. }) =
            (call, self.balances.tank().operation.policies.ph)
        {
            return Ok(self.above_dead_band(self.balances.ph_read_of_state(state)?, width));
        }
        Ok(self.value(call, state, &*self.readings(time, state)?))
    }

    fn event_direction(&self, _index: usize) -> Crossing {
        Crossing::Falling
    }
}
