//! A tank driven by what a log says was done: areas, temperatures, additions; no policy of its own.

use std::cell::Cell;

use bathkin_numerics::{Lockstep, Options, Problem, Stop, advance};

use super::additions::Operator;
use super::lockstep::{CloseBaths, with_tolerance};
use super::segment::used_up;
use super::settings::failed;
use super::simulate::fresh_state;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::tank::quantity::Piece;
use crate::tank::{
    AlsoRead, Balances, Hours, Level, LevelStatus, MetalPolicy, PhLine, PhPolicy, Policies, Programme, Ramp,
    Readings, Tank, Volume,
};

/// A segment of a course: what was in the tank up to a clock time, and what was done then.
#[derive(Debug, Clone, PartialEq)]
pub struct LoggedSegment {
    /// Clock time of its end, s.
    pub until_s: f64,
    /// What plates.
    pub plates: Plates,
    /// Temperature along it.
    pub temperature: Ramp,
    /// The measured pH that the bath follows along it; none: the pH is what comes of the rest.
    pub ph: Option<PhLine>,
    /// The row of the log whose readings were taken at its end, before the additions.
    pub row: Option<usize>,
    /// (solution, L) poured in at its end.
    pub additions: Vec<(usize, f64)>,
    /// Water added at its end, L.
    pub water_l: f64,
    /// Bath taken out at its end before anything was added, L.
    pub removed_l: f64,
}

impl LoggedSegment {
    /// Whether anything was added or taken out at its end.
    pub fn changes_bath(&self) -> bool {
        self.removed_l > 0.0 || self.water_l > 0.0 || !self.additions.is_empty()
    }
}

/// What plates along a segment of a course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Plates {
    /// An area, m².
    Area(f64),
    /// A deposit of known volume, laid down evenly, um m²/s.
    Laid(f64),
}

/// What a log has at a row: the bath, and what hung in the tank since the row before.
#[derive(Debug, Clone, PartialEq)]
pub struct AtRow {
    /// The bath.
    pub bath: Readings,
    /// A piece that hung in the tank all the time.
    pub piece: Piece,
}

/// What a log tells of the pH between its rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoggedPh {
    /// What was added for it.
    Additions,
    /// Nothing: it stays pumped where the recipe has it pumped.
    Untold,
    /// Its readings, which the bath follows along the lines of the course ([`LoggedSegment::ph`]).
    AsMeasured,
}

/// A bath carried along a course.
#[derive(Debug, Clone)]
pub struct LogReplay<'a> {
    /// The tank, its policies as [`replayed`] makes them.
    pub tank: &'a Tank,
    /// Totals at the start, mol/L.
    pub totals_mol_l: &'a [f64],
}

/// A tank in which only what is written down is added, and what its pH takes as the log tells that.
pub fn replayed(tank: &Tank, ph: LoggedPh) -> Tank {
    let mut tank = tank.clone();
    tank.operation.programme = Programme::default();
    let pumped = match ph {
        LoggedPh::Additions => false,
        LoggedPh::Untold => tank.operation.policies.ph == PhPolicy::Continuous,
        LoggedPh::AsMeasured => true,
    };
    tank.operation.policies = Policies {
        metal: MetalPolicy::Threshold { fraction: 0.0 },
        reductant: tank.operation.policies.reductant,
        ph: if pumped { PhPolicy::Continuous } else { PhPolicy::Off },
        hours: Hours::Any,
    };
    tank.operation.feeds.clear();
    tank.operation.events.clear();
    tank
}

/// Carries baths that differ by next to nothing along a course with the same steps; `look` gets the row, the number
/// of the bath, and what the row has. What `also` leaves out is `NaN`. Only the first has
/// a liquid of its own unless `also` asks for it ([`crate::tank::ReferenceBath`]).
///
/// # Errors
/// [`Error::Simulation`], also when metal or reductant of the first bath is used up before the end;
/// [`Error::Convergence`].
pub fn replay(
    baths: &[LogReplay],
    course: &[LoggedSegment],
    also: AlsoRead,
    relative_tolerance: f64,
    look: &mut dyn FnMut(usize, usize, &AtRow),
) -> Result<()> {
    let close = CloseBaths::new(baths.iter().map(|bath| bath.tank), also.liquid);
    let balances = close.balances(baths.iter().map(|bath| bath.totals_mol_l));
    let options = with_tolerance(relative_tolerance);
    let members: Vec<Following> = balances.iter().map(Following::new).collect();
    let mut state = Vec::new();
    for (balances, bath) in balances.iter().zip(baths) {
        state.extend(fresh_state(balances, bath.totals_mol_l));
    }
    let each = state.len() / baths.len().max(1);
    let mut operators: Vec<Operator> = balances
        .iter()
        .zip(state.chunks_exact(each))
        .map(|(balances, state)| Operator::new(balances, state))
        .collect();
    let mut layers: Vec<Vec<f64>> = state.chunks_exact(each).map(<[f64]>::to_vec).collect();
    let (mut time_s, mut hint) = (0.0, None);
    for segment in course {
        carry(&members, segment, &mut time_s, &mut state, &mut hint, &options)?;
        for (number, (balances, state)) in balances.iter().zip(state.chunks_exact_mut(each)).enumerate() {
            balances.set_temperature_k(segment.temperature.at_k(time_s));
            operators[number].arrive(time_s, state, segment)?;
            if let Some(row) = segment.row {
                let there = at_row(balances, state, &layers[number], also)
                    .map_err(|error| error.at_time(time_s / SECONDS_PER_HOUR))?;
                look(row, number, &there);
                layers[number].copy_from_slice(state);
            }
            operators[number]
                .replay(time_s, state, segment)
                .map_err(|error| error.at_time(time_s / SECONDS_PER_HOUR))?;
        }
    }
    Ok(())
}

/// Carries baths side by side, with the same steps, to the end of a segment.
pub(super) fn carry(
    members: &[Following],
    segment: &LoggedSegment,
    time_s: &mut f64,
    state: &mut [f64],
    hint: &mut Option<f64>,
    options: &Options,
) -> Result<()> {
    let each = state.len() / members.len().max(1);
    members.iter().for_each(|member| member.set_out(segment));
    let lockstep = Lockstep::new(members);
    while *time_s < segment.until_s {
        settle_level(members, *time_s, state)?;
        let arrival = advance(&lockstep, *time_s, state, segment.until_s, *hint, options)
            .map_err(|error| failed(error, members[0].balances, each))?;
        (*time_s, *hint) = (arrival.time, Some(arrival.next_step));
        if let Stop::Event { index } = arrival.stop {
            members[0].check(index, *time_s)?;
        }
    }
    Ok(())
}

/// Settles where the level stands: that of the first, which the others come to a little earlier or later.
fn settle_level(members: &[Following], time_s: f64, state: &mut [f64]) -> Result<()> {
    let first = &members[0];
    let each = state.len() / members.len();
    let status = first.balances.tank().plant.level.status(first.balances.volume_l(&state[..each]));
    let flow = |status: LevelStatus, state: &[f64]| -> Result<Vec<f64>> {
        let mut flow = vec![0.0; each];
        first.balances.set_level_status(status);
        first.derivative(time_s, &state[..each], &mut flow)?;
        Ok(flow)
    };
    let lockstep = Lockstep::new(members);
    for (stands, event) in [(status.at_brim, BRIM), (status.at_float, FLOAT)] {
        if !stands || members.len() == 1 {
            continue;
        }
        let (before, after) = (flow(LevelStatus::default(), state)?, flow(status, state)?);
        let turns: Vec<f64> = before.iter().zip(&after).map(|(before, after)| before - after).collect();
        let is_held = turns[first.balances.layout().volume(Volume::Bath)] != 0.0;
        if let Some(delays) = lockstep.delays(time_s, state, event, &before)?.filter(|_| is_held) {
            lockstep.shift(state, &delays, &turns);
        }
    }
    members.iter().for_each(|member| member.balances.set_level_status(status));
    Ok(())
}

pub(super) fn at_row(balances: &Balances, state: &[f64], before: &[f64], also: AlsoRead) -> Result<AtRow> {
    let layout = balances.layout();
    let gained: Vec<f64> =
        layout.deposited_per_area().map(|slot| (state[slot] - before[slot]) * layout.scale()[slot]).collect();
    let layer = balances.tank().bath.layer(&gained);
    let piece = Piece { mass_g: layer.mass_g, thickness_um: layer.thickness_um(1.0), minutes: f64::NAN };
    Ok(AtRow { bath: Readings::as_logged(balances, state, also)?, piece })
}

/// The balances of a bath on a segment of its course.
pub(super) struct Following<'a> {
    balances: &'a Balances<'a>,
    temperature: Cell<Ramp>,
    /// Area that plates over what is written.
    area_factor: f64,
}

/// Events of a follower, in order.
const USED_UP: [&str; 2] = ["metal", "reductant"];
const BRIM: usize = 2;
const FLOAT: usize = 3;

impl<'a> Following<'a> {
    fn new(balances: &'a Balances<'a>) -> Self {
        Following::with_area(balances, 1.0)
    }

    /// The same of a bath with a part of the area that is written.
    pub(super) fn with_area(balances: &'a Balances<'a>, area_factor: f64) -> Self {
        let temperature = Cell::new(Ramp::held(balances.tank().operation.temperature_k));
        Following { balances, temperature, area_factor }
    }

    fn set_out(&self, segment: &LoggedSegment) {
        match segment.plates {
            Plates::Area(area_m2) => self.balances.set_area_m2(area_m2 * self.area_factor),
            Plates::Laid(um_m2_s) => self.balances.set_laid_um_m2_s(um_m2_s * self.area_factor),
        }
        self.temperature.set(segment.temperature);
        self.balances.set_ph_line(segment.ph);
    }

    /// Refuses to go on where the bath has run out of something.
    fn check(&self, event: usize, time_s: f64) -> Result<()> {
        let tank = self.balances.tank();
        let slots = [tank.bath.roles.metal, tank.bath.roles.reductant];
        let Some(slot) = slots.get(event) else { return Ok(()) };
        let name = &tank.bath.equilibrium.component_names()[*slot];
        Err(Error::Simulation {
            time_h: time_s / SECONDS_PER_HOUR,
            reason: format!("the {} is used up before the next row of the log: {name}", USED_UP[event]),
        })
    }
}

impl Problem for Following<'_> {
    type Error = Error;

    fn dimension(&self) -> usize {
        self.balances.layout().len()
    }

    fn derivative(&self, time: f64, state: &[f64], derivative: &mut [f64]) -> Result<()> {
        self.balances.set_temperature_k(self.temperature.get().at_k(time));
        self.balances.derivative(state, derivative)
    }

    fn event_count(&self) -> usize {
        FLOAT + 1
    }

    fn event_values(&self, _time: f64, state: &[f64], values: &mut [f64]) -> Result<()> {
        let (tank, scale) = (self.balances.tank(), self.balances.layout().scale());
        let volume_l = self.balances.volume_l(state);
        let total = |slot: usize| state[slot] * scale[slot] / volume_l;
        values[0] = used_up(total(tank.bath.roles.metal), tank.operation.set_points.metal_mol_l);
        values[1] = used_up(total(tank.bath.roles.reductant), tank.operation.set_points.reductant_mol_l);
        (values[BRIM], values[FLOAT]) = match tank.plant.level {
            Level::Held => (1.0, 1.0),
            Level::Free { brim_l, float_l } => (
                (brim_l - volume_l) / tank.plant.volume_l,
                float_l.map_or(1.0, |float_l| (volume_l - float_l) / tank.plant.volume_l),
            ),
        };
        Ok(())
    }
}

impl Operator<'_> {
    /// Does what a log says was done at the end of a segment. The log itself is the ledger. Where the level is
    /// kept without the log, its water is added up to there only: the rest came in along the way. A pump that
    /// holds the pH holds it beside what was poured in.
    pub(super) fn replay(&mut self, time_s: f64, state: &mut [f64], segment: &LoggedSegment) -> Result<()> {
        if segment.removed_l > 0.0 {
            self.take_out(state, segment.removed_l, Volume::Bled);
        }
        for (solution, volume_l) in &segment.additions {
            self.pour(state, *solution, *volume_l);
        }
        if segment.water_l > 0.0 {
            self.refill(state, segment.water_l);
        }
        self.spill(state);
        match &segment.ph {
            // What a filter believes of the bath may have moved its pH too.
            Some(line) => self.follow_ph(time_s, state, line),
            None if segment.changes_bath() => self.pumps_hold(time_s, state),
            None => Ok(()),
        }
    }

    /// Stands on the measured pH at the end of a segment: along it the bath follows its slope alone.
    pub(super) fn arrive(&mut self, time_s: f64, state: &mut [f64], segment: &LoggedSegment) -> Result<()> {
        let Some(line) = &segment.ph else { return Ok(()) };
        self.follow_ph(time_s, state, line).map_err(|error| error.at_time(time_s / SECONDS_PER_HOUR))
    }
}
