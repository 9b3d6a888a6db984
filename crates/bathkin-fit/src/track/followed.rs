//! The real model as a filter follows it: contents and unknowns of a bath from row to row of its log.
//!
//! The components of x are the [`Coordinates`] of the contents (mol, and L where the level is free) and the values of the
//! [`Unknown`]s. A row is the reading, then the additions as written, then the work up to the next row; additions
//! that a log has since the row before come along with that work. F and H are
//! differences of baths that make the same steps ([`bathkin::life::RowByRow`]). Noise of a row: the hung area, each jug,
//! the level where water comes to a mark, and the walks of the unknowns.

use std::borrow::Cow;
use std::cell::RefCell;

use bathkin::life::{AtRow, LoggedSegment, Member, Plates, RowByRow};
use bathkin::tank::{Level, ReferenceBath, Tank};
use bathkin_statistics::kalman::{Advanced, FilteredRow, Followed, Reading};
use nalgebra::{DMatrix, DVector};

use crate::error::DataError;
use crate::track::coordinates::Coordinates;
use crate::track::observed::{Channel, Observed, ObservedLog, WILD};
use crate::track::unknown::{Kind, LEVEL, Unknown, place_of, tank_at};

/// Relative tolerance of the integration between rows.
const TOLERANCE: f64 = 1e-6;
/// Step of the differences, relative.
const STEP: f64 = 1e-4;
/// What a titration scatters by beside its correlated noise: rounding and the end point, relative (estimated).
const END_POINT: f64 = 0.003;
/// Standard deviations of what is written of a row (assumed): hung area, and each addition.
const AREA: f64 = 0.04;
const JUG: f64 = 0.015;
/// Offset of an electrode that was just calibrated, pH (common practice, no source).
const CALIBRATED: f64 = 0.02;

/// A bath that is followed along its log.
pub(crate) struct TrackedBath<'a> {
    pub log: &'a ObservedLog,
    /// The tank that does as the log says, each equilibrium solved to rounding.
    pub tank: &'a Tank,
    pub fresh_totals_mol_l: &'a [f64],
    pub coordinates: Coordinates,
    pub unknowns: &'a [Unknown],
    /// Readings that are not compared, by their place.
    pub left_out: &'a [bool],
    /// The bath at the row in hand.
    now: RefCell<Now>,
    /// Its (scaled) state before the readings of each row so far.
    history: RefCell<Vec<Vec<f64>>>,
}

/// A bath at a row of its log.
#[derive(Debug, Clone)]
struct Now {
    /// Its (scaled) state before the readings of the row.
    state: Vec<f64>,
    /// That after the row before.
    before: Vec<f64>,
    row: usize,
}

impl<'a> TrackedBath<'a> {
    /// A bath in a (scaled) state at the first row.
    pub fn new(
        log: &'a ObservedLog,
        tank: &'a Tank,
        fresh_totals_mol_l: &'a [f64],
        coordinates: Coordinates,
        unknowns: &'a [Unknown],
        left_out: &'a [bool],
        state: Vec<f64>,
    ) -> Self {
        let now = RefCell::new(Now { before: state.clone(), state, row: 0 });
        let history = RefCell::default();
        TrackedBath { log, tank, fresh_totals_mol_l, coordinates, unknowns, left_out, now, history }
    }

    /// The (scaled) state at each row, with what is believed after its readings.
    pub fn states(&self, rows: &[FilteredRow]) -> Vec<Vec<f64>> {
        let with_belief = |(state, row): (&Vec<f64>, &FilteredRow)| {
            let mut state = state.clone();
            self.coordinates.write(&mut state, &row.belief.mean.as_slice()[..self.coordinates.len()]);
            state
        };
        self.history.borrow().iter().zip(rows).map(with_belief).collect()
    }

    /// The (scaled) state at the row in hand, with contents put in.
    pub fn state_with(&self, x: &DVector<f64>) -> Vec<f64> {
        let mut state = self.now.borrow().state.clone();
        self.coordinates.write(&mut state, &x.as_slice()[..self.coordinates.len()]);
        state
    }

    /// The tank at the unknowns of a state.
    pub fn tank_of(&self, x: &[f64]) -> Tank {
        tank_at(self.tank, self.unknowns, &x[self.coordinates.len()..])
    }

    /// Place of an unknown in the state.
    pub fn place(&self, kind: Kind) -> Option<usize> {
        place_of(self.unknowns, kind, self.coordinates.len())
    }

    fn pumped(&self) -> bool {
        self.tank.operation.policies.ph == bathkin::tank::PhPolicy::Continuous
    }

    /// Steps of the differences: of a content a part of what is there.
    fn step(&self, x: &[f64], component: usize) -> f64 {
        let contents = self.coordinates.len();
        if component >= contents {
            return STEP;
        }
        if self.coordinates.volume() == Some(component) {
            return STEP * x[component];
        }
        let metal = self.tank.operation.set_points.metal_mol_l * self.tank.plant.volume_l;
        // A trace is moved by a part of itself.
        const TRACE: f64 = 1e-3;
        let there = x[component].abs();
        let trace = there > 0.0 && there < TRACE * metal;
        STEP * if trace { there } else { there.max(0.05 * metal) }
    }

    fn segments(&self, row: usize) -> (&LoggedSegment, &[LoggedSegment]) {
        let course = &self.log.bath.course;
        let at = course.iter().position(|segment| segment.row == Some(row)).unwrap_or(0);
        let next = course.iter().skip(at + 1).position(|segment| segment.row.is_some());
        let to = next.map_or(course.len(), |next| at + 2 + next);
        (&course[at], &course[at + 1..to])
    }

    /// What a bath shows at the row in hand, where `state` is its own.
    fn read(&self, rows: &RowByRow, member: usize, state: &[f64]) -> Result<AtRow, DataError> {
        let now = self.now.borrow();
        let (segment, _) = self.segments(now.row);
        Ok(rows.read(member, state, &now.before, segment, self.log.also)?)
    }

    /// What is expected of a reading, in the scale it is compared on; biases are those of the state.
    fn expected(&self, one: &Observed, x: &[f64], tank: &Tank, shown: &AtRow) -> f64 {
        let of = |kind| self.place(kind).map_or(0.0, |place| x[place]);
        let plain = one.reading.of(tank, shown);
        match one.channel {
            Channel::Titration => {
                plain.ln() + of(Kind::TitrationBias) + of(Kind::TitrationNoise) + of(Kind::Level)
            }
            Channel::Content(_) => plain * of(Kind::Level).exp(),
            Channel::Ph => plain + of(Kind::Electrode),
            Channel::Piece | Channel::Other => plain,
        }
    }

    /// What was read and its variance, on the scale it is compared on.
    fn measured(one: &Observed) -> (f64, f64) {
        match (one.channel, one.sigma) {
            (Channel::Titration, Some(sigma)) => (one.value.ln(), (sigma / one.value).powi(2)),
            (Channel::Titration, None) => (one.value.ln(), END_POINT * END_POINT),
            (_, sigma) => (one.value, sigma.unwrap_or(0.0).powi(2)),
        }
    }

    /// A content of which another reading on the same side says that it moved, and by which variance it is opened. No electrode is
    /// as far off as a pH that is wild.
    fn released(&self, one: &Observed, expected: f64, x: &[f64]) -> Option<(usize, f64)> {
        const PART: f64 = 0.1;
        const PH: f64 = 0.1;
        match one.channel {
            Channel::Titration => {
                let slot = self.tank.bath.roles.metal;
                Some((slot, (PART * x[slot]).powi(2)))
            }
            Channel::Content(slot) if slot != self.coordinates.base() => {
                Some((slot, (PART * x[slot]).powi(2)))
            }
            Channel::Ph if (one.value - expected).abs() > WILD => None,
            Channel::Ph => self.place(Kind::Electrode).map(|place| (place, PH * PH)),
            _ => None,
        }
    }

    fn is_compared(&self, one: &Observed) -> bool {
        let volume_is_held =
            one.reading.quantity == bathkin::tank::Quantity::VOLUME_L && self.tank.plant.level == Level::Held;
        let no_titration = one.channel == Channel::Titration && one.value <= 0.0;
        !(volume_is_held || no_titration)
    }
}

impl Followed for TrackedBath<'_> {
    type Error = DataError;

    fn readings(&self, row: usize, x: &DVector<f64>) -> Result<Vec<Reading>, DataError> {
        self.now.borrow_mut().row = row;
        self.history.borrow_mut().push(self.now.borrow().state.clone());
        let from = self.log.readings.partition_point(|one| one.row < row);
        let wanted: Vec<&Observed> = self
            .log
            .of_row(row)
            .iter()
            .enumerate()
            .filter(|(at, one)| self.is_compared(one) && !self.left_out[from + at])
            .map(|(_, one)| one)
            .collect();
        if wanted.is_empty() {
            return Ok(Vec::new());
        }
        let x = x.as_slice();
        let contents = self.coordinates.len();
        // The base, and a tank for each unknown that moves rates; contents move the state of the base.
        let moving: Vec<usize> = (contents..x.len())
            .filter(|place| self.unknowns[place - contents].moves_bath(self.pumped()))
            .collect();
        let mut members = vec![self.member(x, 1.0)];
        for place in &moving {
            members.push(self.member(&moved(x, *place, STEP), 1.0));
        }
        let rows = RowByRow::new(&members, self.fresh_totals_mol_l, TOLERANCE);
        let base = self.state_with(&DVector::from_column_slice(x));
        let shown = self.read(&rows, 0, &base)?;
        let tank = &members[0].tank;
        let expected: Vec<f64> = wanted.iter().map(|one| self.expected(one, x, tank, &shown)).collect();
        let mut slopes = vec![vec![0.0; x.len()]; wanted.len()];
        for place in 0..x.len() {
            let (by, moved_there) = match place {
                _ if Some(place) == self.coordinates.corrector() => (STEP, None),
                _ if place < contents => {
                    let by = self.step(x, place);
                    let state = self.state_with(&DVector::from_vec(moved(x, place, by)));
                    (by, Some(self.read(&rows, 0, &state)?))
                }
                _ => {
                    let member = moving.iter().position(|moving| *moving == place).map(|at| at + 1);
                    let read = member.map(|member| self.read(&rows, member, &base)).transpose()?;
                    (STEP, read)
                }
            };
            let there = moved(x, place, by);
            let here = moved_there.as_ref().unwrap_or(&shown);
            for ((one, expected), slopes) in wanted.iter().zip(&expected).zip(&mut slopes) {
                slopes[place] = (self.expected(one, &there, tank, here) - expected) / by;
            }
        }
        // What hung in the tank grew by what the bath was before: by its rate alone.
        for ((one, expected), slopes) in wanted.iter().zip(&expected).zip(&mut slopes) {
            if one.channel == Channel::Piece
                && let Some(place) = self.place(Kind::Rate)
            {
                slopes.fill(0.0);
                slopes[place] = *expected;
            }
        }
        let reading = |((one, expected), slopes): ((&&Observed, f64), Vec<f64>)| {
            let (measured, variance) = Self::measured(one);
            let released = self.released(one, expected, x);
            Reading { channel: one.column, measured, expected, slopes, variance, released }
        };
        let tells = |((one, expected), _): &((&&Observed, f64), Vec<f64>)| {
            one.tells(Self::measured(one).0, *expected)
        };
        Ok(wanted.iter().zip(expected).zip(slopes).filter(tells).map(reading).collect())
    }

    fn advance(&self, row: usize, x: &DVector<f64>) -> Result<Advanced, DataError> {
        let contents = self.coordinates.len();
        let state = self.state_with(x);
        let (added, segments) = self.segments(row);
        let x = x.as_slice();
        let corrector = self.coordinates.corrector();
        let moves = |place: &usize| match place.checked_sub(contents) {
            None => Some(*place) != corrector,
            Some(unknown) => self.unknowns[unknown].moves_bath(self.pumped()),
        };
        let moving: Vec<usize> = (0..x.len()).filter(moves).collect();
        let mut members = vec![self.member(x, 1.0)];
        let mut states = state.clone();
        for place in &moving {
            let there = moved(x, *place, self.step(x, *place));
            let mut own = state.clone();
            self.coordinates.write(&mut own, &there[..contents]);
            states.extend(own);
            members.push(self.member(&there, 1.0));
        }
        let plates = |segment: &LoggedSegment| !matches!(segment.plates, Plates::Area(area) if area == 0.0);
        let hung = segments.iter().any(plates);
        if hung {
            members.push(self.member(x, 1.0 + STEP));
            states.extend(&state);
        }
        let reference = ReferenceBath::of(&members[0].tank, std::iter::empty());
        let rows = RowByRow::about(reference.as_ref(), &members, self.fresh_totals_mol_l, TOLERANCE);
        rows.add(&mut states, added)?;
        let each = rows.each();
        let begun = states[..each].to_vec();
        let mut since_s = added.until_s;
        for segment in segments {
            rows.carry(since_s, &mut states, segment)?;
            since_s = segment.until_s;
            if segment.row.is_none() {
                rows.add(&mut states, segment)?;
            }
        }
        let arrived: Vec<Vec<f64>> =
            states.chunks_exact(each).map(|state| self.coordinates.read(state)).collect();
        let size = x.len();
        let mut slopes = DMatrix::zeros(size, size);
        let (mut mean, mut noise) = (DVector::from_column_slice(x), DMatrix::zeros(size, size));
        mean.as_mut_slice()[..contents].copy_from_slice(&arrived[0]);
        for (at, place) in moving.iter().enumerate() {
            let by = self.step(x, *place);
            for content in 0..contents {
                slopes[(content, *place)] = (arrived[at + 1][content] - arrived[0][content]) / by;
            }
        }
        // What was fed stays fed.
        corrector.into_iter().for_each(|place| slopes[(place, place)] = 1.0);
        let plated = rows.balances(0);
        let turnovers = |state: &[f64]| bathkin::tank::readings::turnovers(plated, state).1;
        let passed = (turnovers(&states[..each]) - turnovers(&begun)).max(0.0);
        for (unknown, place) in self.unknowns.iter().zip(contents..) {
            slopes[(place, place)] = unknown.kept;
            mean[place] *= unknown.kept;
            noise[(place, place)] += unknown.per_turnover * passed + unknown.per_row;
            if unknown.kind == Kind::Electrode && self.log.bath.calibrated.contains(&(row + 1)) {
                slopes[(place, place)] = 0.0;
                mean[place] = 0.0;
                noise[(place, place)] = CALIBRATED * CALIBRATED;
            }
        }
        if hung {
            let last = arrived.len() - 1;
            let by = |content: usize| AREA * (arrived[last][content] - arrived[0][content]) / STEP;
            widen(&mut noise, &(0..contents).map(by).collect::<Vec<f64>>());
        }
        if let (Some(measured), Some(place)) = (&self.log.bath.measured_ph, self.place(Kind::Electrode)) {
            // The bath stands off what was read as far as a reading scatters: as with an electrode that is off for this row.
            let sigma = measured.sigma_after(row);
            let by: Vec<f64> = (0..contents).map(|content| sigma * slopes[(content, place)]).collect();
            widen(&mut noise, &by);
        }
        let onward = slopes.view((0, 0), (contents, contents)).into_owned();
        // What goes in evenly along the work is on the mean half way from where it is poured to what becomes of it.
        let halfway = 0.5 * (&onward + DMatrix::identity(contents, contents));
        let mut later = |becomes: &DMatrix<f64>, direction: Vec<f64>, by: f64| {
            let moved = becomes * DVector::from_vec(direction) * by;
            widen(&mut noise, moved.as_slice());
        };
        for (solution, litres) in &added.additions {
            later(&onward, self.coordinates.of_solution(self.tank, *solution), JUG * litres);
        }
        for (solution, litres) in sums(segments) {
            later(&halfway, self.coordinates.of_solution(self.tank, solution), JUG * litres);
        }
        if self.coordinates.volume().is_some() {
            later(&onward, self.coordinates.of_water(), LEVEL * self.tank.plant.volume_l);
        }
        *self.now.borrow_mut() = Now { state: states[..each].to_vec(), before: begun, row: row + 1 };
        Ok(Advanced { state: mean, slopes, noise })
    }
}

impl TrackedBath<'_> {
    fn member(&self, x: &[f64], area_factor: f64) -> Member<'static> {
        Member { tank: Cow::Owned(self.tank_of(x)), area_factor }
    }
}

/// Litres of each solution that goes in along the work up to a row.
fn sums(segments: &[LoggedSegment]) -> Vec<(usize, f64)> {
    let mut sums: Vec<(usize, f64)> = Vec::new();
    for (solution, litres) in segments.iter().filter(|one| one.row.is_none()).flat_map(|one| &one.additions) {
        match sums.iter_mut().find(|(known, _)| known == solution) {
            Some((_, sum)) => *sum += litres,
            None => sums.push((*solution, *litres)),
        }
    }
    sums
}

/// A state with one component moved.
fn moved(x: &[f64], place: usize, by: f64) -> Vec<f64> {
    let mut there = x.to_vec();
    there[place] += by;
    there
}

/// Adds g gᵀ of contents.
fn widen(noise: &mut DMatrix<f64>, by: &[f64]) {
    for (row, a) in by.iter().enumerate() {
        for (column, b) in by.iter().enumerate() {
            noise[(row, column)] += a * b;
        }
    }
}
