//! The filter over a log: first with a gate, which leaves wild readings out, until the log has told its own noise; then
//! without, for what is odd.

use bathkin::Recipe;
use bathkin::life::{Member, RowByRow, replayed};
use bathkin::tank::Tank;
use bathkin_statistics::kalman::{FilteredRow, Gate, follow, own_noise};
use std::borrow::Cow;
use std::sync::Arc;

use crate::error::DataError;
use crate::track::coordinates::Coordinates;
use crate::track::finding::{Finding, Grade, OUTLYING, SmallestSeen};
use crate::track::findings::findings;
use crate::track::followed::TrackedBath;
use crate::track::misread::columns_at_once;
use crate::track::observed::{Channel, Observed, ObservedLog, WILD};
use crate::track::start::{Age, Beginning, beginning};
use crate::track::unknown::{AgeingForm, Kind, Unknown, place_of, tank_at, unknowns};

/// Standard deviations beyond which a reading is left out.
const GATE: f64 = 4.0;
/// What a titration of the metal scatters by, where the log does not tell (common practice, no source).
const TITRATION: f64 = 0.02;
const LEAST_TITRATION: f64 = 0.005;
/// No titration scatters more: what does is the model that misses.
const MOST_TITRATION: f64 = 0.08;
/// Rounds of estimating the noise.
const ROUNDS: usize = 2;

/// A log that was followed.
pub(crate) struct Passes {
    pub tank: Tank,
    pub unknowns: Vec<Unknown>,
    pub coordinates: Coordinates,
    /// With the gate.
    pub rows: Vec<FilteredRow>,
    /// The (scaled) state at each row, with what is believed after its readings.
    pub states: Vec<Vec<f64>>,
    pub titration: f64,
    pub noise_is_estimated: bool,
    pub never_analysed: Vec<String>,
    pub findings: Vec<Finding>,
    pub smallest_seen: Vec<SmallestSeen>,
    pub ln_likelihood: f64,
}

/// Follows a log.
///
/// # Errors
/// As the model on the way.
pub(crate) fn passes(
    recipe: &Recipe,
    log: &ObservedLog,
    age: Age,
    form: AgeingForm,
    seek: bool,
) -> Result<Passes, DataError> {
    let model = recipe.model()?;
    let tank = tank_of_log(&model.tank, log, form, &model.fresh_totals_mol_l)?;
    let share = side_share(&tank, &model.fresh_totals_mol_l)?;
    let column = log.readings.iter().find(|one| one.channel == Channel::Titration).map(|one| one.column);
    let stated = stated_titration(log);
    let (mut titration, mut estimated) = (stated.unwrap_or(TITRATION), false);
    let none = vec![false; log.readings.len()];
    let rows = log.rows.len();
    let mut log = log.clone();
    let mut round = 0;
    loop {
        recipe.go_on()?;
        let unknowns = unknowns(&tank, share, titration);
        let Beginning { state, belief, coordinates, never_analysed } =
            beginning(recipe, &log, &tank, age, &unknowns)?;
        let totals = &model.fresh_totals_mol_l;
        let bath =
            TrackedBath::new(&log, &tank, totals, coordinates.clone(), &unknowns, &none, state.clone());
        let filtered = follow(&bath, rows, belief.clone(), Gate { beyond: GATE })?;
        let states = bath.states(&filtered);
        drop(bath);
        if round < ROUNDS {
            round += 1;
            let told = column
                .filter(|_| stated.is_none())
                .and_then(|column| own_noise(&filtered, column, titration, LEAST_TITRATION));
            if let Some(told) = told {
                (titration, estimated) = (told.min(MOST_TITRATION), true);
            }
            if log.take_own_scatter(&filtered) || told.is_some() {
                continue;
            }
        }
        let (mut found, mut smallest_seen) = (Vec::new(), Vec::new());
        let mut left_out = wild(&log, &filtered);
        // Once more where readings are slips: they are no evidence of additions.
        for again in [false, true].into_iter().filter(|_| seek) {
            let places: Vec<usize> =
                found.iter().filter_map(|one| slip(&log, one)).filter(|at| !left_out[*at]).collect();
            if again && places.is_empty() {
                break;
            }
            places.into_iter().for_each(|at| left_out[at] = true);
            let (coordinates, state) = (coordinates.clone(), state.clone());
            let open = TrackedBath::new(&log, &tank, totals, coordinates, &unknowns, &left_out, state);
            let all = follow(&open, rows, belief.clone(), Gate::OPEN)?;
            let slips = again.then_some(found);
            (found, smallest_seen) = findings(&open, &all, &filtered, slips);
        }
        let ln_likelihood = filtered.iter().map(|row| row.ln_likelihood).sum();
        return Ok(Passes {
            unknowns,
            coordinates,
            rows: filtered,
            states,
            titration,
            noise_is_estimated: estimated,
            never_analysed,
            findings: columns_at_once(&log, found),
            smallest_seen,
            ln_likelihood,
            tank,
        });
    }
}

/// The tank that does as the log says, its equilibrium solved to rounding: differences of it are wanted.
fn tank_of_log(
    tank: &Tank,
    log: &ObservedLog,
    form: AgeingForm,
    fresh_totals_mol_l: &[f64],
) -> Result<Tank, DataError> {
    let replayed = replayed(tank, log.bath.ph);
    let exactly = replayed.bath.equilibrium.solved_exactly();
    with_form(replayed.with_equilibrium(exactly), form, fresh_totals_mol_l)
}

/// A tank that ages in a form.
///
/// # Errors
/// [`bathkin::Error::Convergence`] from the equilibrium of the fresh bath.
pub(crate) fn with_form(
    mut tank: Tank,
    form: AgeingForm,
    fresh_totals_mol_l: &[f64],
) -> Result<Tank, DataError> {
    if form == AgeingForm::OfRecipe {
        return Ok(tank);
    }
    let by_product = tank.bath.roles.by_product;
    let balances = bathkin::tank::Balances::new(&tank, fresh_totals_mol_l);
    let fresh = bathkin::life::simulate::fresh_state(&balances, fresh_totals_mol_l);
    let rival = balances.observe(&fresh, |observed, _, _| {
        tank.bath.kinetics.with_exponential_ageing(by_product, &observed.conditions())
    })?;
    if let Some(kinetics) = rival {
        tank.bath.kinetics = Arc::new(kinetics);
    }
    Ok(tank)
}

/// Part of the by-product per metal that side reactions make, in the fresh bath.
fn side_share(tank: &Tank, fresh_totals_mol_l: &[f64]) -> Result<f64, DataError> {
    /// What side reactions are taken away by, to see what is left.
    const NEXT_TO_NOTHING: f64 = 1e-6;
    let made = |tank: &Tank| -> Result<f64, DataError> {
        let balances = bathkin::tank::Balances::new(tank, fresh_totals_mol_l);
        let state = bathkin::life::simulate::fresh_state(&balances, fresh_totals_mol_l);
        let made = balances.observe(&state, |observed, _, _| {
            let of = |slot| observed.made_mol_m2_s(tank, slot);
            (of(tank.bath.roles.by_product) / of(tank.bath.roles.metal)).abs()
        })?;
        Ok(made)
    };
    let mut without = tank.clone();
    without.bath.kinetics = Arc::new(tank.bath.kinetics.side_reactions_times(NEXT_TO_NOTHING));
    let share = 1.0 - made(&without)? / made(tank)?;
    // Reactions of the liquid alone: what they make beside the surface hangs on how much is plated.
    const OF_LIQUID: f64 = 0.1;
    Ok(if share.is_finite() && share > 0.0 {
        share
    } else if tank.bath.bulk.is_empty() {
        0.0
    } else {
        OF_LIQUID
    })
}

/// What the log states of its titrations, relative.
fn stated_titration(log: &ObservedLog) -> Option<f64> {
    let titrations = log.readings.iter().filter(|one| one.channel == Channel::Titration);
    let stated: Vec<f64> =
        titrations.filter_map(|one| Some(one.sigma? / one.value)).filter(|part| part.is_finite()).collect();
    (!stated.is_empty()).then(|| stated.iter().sum::<f64>() / stated.len() as f64)
}

/// Place of the reading that a finding calls wrong.
fn slip(log: &ObservedLog, one: &Finding) -> Option<usize> {
    if one.code != OUTLYING || one.grade != Grade::Finding {
        return None;
    }
    let of =
        |reading: &Observed| Some(log.rows[reading.row]) == one.row && log.columns[reading.column] == one.of;
    log.readings.iter().position(of)
}

/// Readings off by more than a factor: they are in no pass.
fn wild(log: &ObservedLog, rows: &[FilteredRow]) -> Vec<bool> {
    let mut wild = vec![false; log.readings.len()];
    for (row, filtered) in rows.iter().enumerate() {
        let from = log.readings.partition_point(|one| one.row < row);
        for (at, one) in log.of_row(row).iter().enumerate() {
            let Some(of) = filtered.readings.iter().find(|of| of.channel == one.column) else { continue };
            wild[from + at] = match one.channel {
                Channel::Titration => of.difference.abs() > WILD.ln(),
                Channel::Ph => of.difference.abs() > WILD,
                _ => {
                    let expected = one.value - of.difference;
                    !of.taken && expected > 0.0 && (one.value / expected).ln().abs() > WILD.ln()
                }
            };
        }
    }
    wild
}

impl Passes {
    /// The (scaled) state at a row after what was added there, with what is believed after its readings.
    ///
    /// # Errors
    /// As additions to a bath.
    pub fn after_additions(
        &self,
        row: usize,
        log: &ObservedLog,
        fresh_totals_mol_l: &[f64],
    ) -> Result<Vec<f64>, DataError> {
        let (mut state, unknowns) = (self.states[row].clone(), &self.rows[row].belief.mean);
        let tank = tank_at(&self.tank, &self.unknowns, &unknowns.as_slice()[self.coordinates.len()..]);
        let members = [Member { tank: Cow::Owned(tank), area_factor: 1.0 }];
        if let Some(segment) = log.bath.course.iter().find(|segment| segment.row == Some(row)) {
            RowByRow::new(&members, fresh_totals_mol_l, 1e-6).add(&mut state, segment)?;
        }
        Ok(state)
    }

    /// Place of an unknown in the state.
    pub fn place(&self, kind: Kind) -> Option<usize> {
        place_of(&self.unknowns, kind, self.coordinates.len())
    }
}
