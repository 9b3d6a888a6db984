//! What is believed of a bath before the first row of its log.
//!
//! A bath that starts as made up has its contents to 2 % where they are analysed and to 10 % where they never are, a level
//! to 1 % and a pH to 0.1 (estimated). A used bath starts as a life of its recipe at that age, and is uncertain along the way
//! from the make-up to there: by 5 % where its turnovers are told, by 30 % where only its by-product was read, and by
//! 55 % of half a life where nothing tells.

use bathkin::Recipe;
use bathkin::life::{Member, RowByRow};
use bathkin::study::aged;
use bathkin::tank::{Quantity, Tank};
use bathkin_statistics::kalman::Belief;
use nalgebra::DMatrix;

use crate::data::logs::UsedBath;
use crate::error::DataError;
use crate::track::coordinates::Coordinates;
use crate::track::observed::ObservedLog;
use crate::track::unknown::{Kind, LEVEL, Unknown, place_of};

const ANALYSED: f64 = 0.02;
const NEVER_ANALYSED: f64 = 0.10;
const PH: f64 = 0.1;
/// How uncertain a used bath is along its way from the make-up: with its turnovers written down, with what grows with age
/// read, with nothing.
const TOLD: f64 = 0.05;
const READ: f64 = 0.30;
const UNTOLD: f64 = 0.55;
/// What a fresh bath may hold of its by-product, mol/L.
const BY_PRODUCT_MOL_L: f64 = 0.005;

/// What is told of the age of a bath at the first row of its log.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Age {
    /// What the first row says: turnovers, or what grows with age; nothing of that: it starts as made up.
    #[default]
    OfLog,
    /// Metal turnovers so far.
    Turnovers(f64),
    /// It is used, and nothing tells how long.
    Used,
}

/// A bath before its first row.
pub(crate) struct Beginning {
    /// Its (scaled) state.
    pub state: Vec<f64>,
    pub belief: Belief,
    pub coordinates: Coordinates,
    /// Components that are never analysed: held as made up, drawn wide.
    pub never_analysed: Vec<String>,
}

/// The beginning of a log; `tank` is the one that follows it.
///
/// # Errors
/// An age this bath does not get to.
pub(crate) fn beginning(
    recipe: &Recipe,
    log: &ObservedLog,
    tank: &Tank,
    age: Age,
    unknowns: &[Unknown],
) -> Result<Beginning, DataError> {
    let model = recipe.model()?;
    let totals = &model.fresh_totals_mol_l;
    let members = [Member { tank: std::borrow::Cow::Borrowed(tank), area_factor: 1.0 }];
    let rows = RowByRow::new(&members, totals, 1e-6);
    let mut coordinates = Coordinates::of(tank, rows.balances(0), totals);
    if log.bath.measured_ph.is_some() {
        coordinates = coordinates.counting_corrector(rows.balances(0));
    }
    let fresh = rows.fresh_state(totals);
    let of_fresh = coordinates.read(&fresh);
    let by_product = Quantity::component(tank.bath.roles.by_product);
    let of_turnovers = |turnovers| aged(model, (Quantity::TURNOVERS, turnovers)).map(|state| (state, TOLD));
    let (state, along) = match (age, &log.bath.used) {
        (Age::Turnovers(turnovers), _) => of_turnovers(turnovers)?,
        (_, Some(UsedBath { turnovers: Some(turnovers), .. })) => of_turnovers(*turnovers)?,
        (_, Some(used)) => {
            let mol_l = totals[tank.bath.roles.by_product] + used.gained_mol_l[tank.bath.roles.by_product];
            (aged(model, (by_product, mol_l))?, READ)
        }
        (Age::Used, None) => {
            let life = recipe.simulate_life()?.verdict.turnovers;
            (aged(model, (Quantity::TURNOVERS, 0.5 * life))?, UNTOLD)
        }
        (Age::OfLog, None) => (fresh, 0.0),
    };
    let state = at_measured_ph(&rows, log, &coordinates, state)?;
    let mean = coordinates.read(&state);
    let (mut deviations, mut never_analysed) = (vec![0.0; mean.len()], Vec::new());
    for slot in 0..tank.bath.equilibrium.component_names().len() {
        let analysed = log.analyses(tank, slot);
        if slot == coordinates.base() {
            continue;
        }
        if !analysed && of_fresh[slot] > 0.0 {
            never_analysed.push(Quantity::component(slot).title(tank));
        }
        let least =
            if slot == tank.bath.roles.by_product { BY_PRODUCT_MOL_L * tank.plant.volume_l } else { 0.0 };
        deviations[slot] = (if analysed { ANALYSED } else { NEVER_ANALYSED }) * mean[slot].abs() + least;
    }
    let base_per_ph = base_per_ph(&rows, &coordinates, &state, tank)?;
    let ph_sd = log.bath.measured_ph.as_ref().map(|measured| measured.first_sigma());
    deviations[coordinates.base()] = ph_sd.unwrap_or(PH) * base_per_ph;
    if let Some(volume) = coordinates.volume() {
        deviations[volume] = LEVEL * mean[volume];
    }
    let way: Vec<f64> = mean.iter().zip(&of_fresh).map(|(used, fresh)| along * (used - fresh)).collect();
    let size = mean.len() + unknowns.len();
    let mut all = mean;
    all.extend(unknowns.iter().map(|_| 0.0));
    deviations.extend(unknowns.iter().map(|unknown| unknown.prior));
    let mut belief = Belief::independent(&all, &deviations);
    belief.covariance += DMatrix::from_fn(size, size, |row, column| {
        let of = |at: usize| way.get(at).copied().unwrap_or(0.0);
        of(row) * of(column)
    });
    let electrode = place_of(unknowns, Kind::Electrode, coordinates.len());
    if let (Some(_), Some(place)) = (ph_sd, electrode) {
        // What the electrode reads too much the base is less.
        let (base, variance) = (coordinates.base(), belief.covariance[(place, place)]);
        belief.covariance[(base, base)] += base_per_ph * base_per_ph * variance;
        for at in [(base, place), (place, base)] {
            belief.covariance[at] -= base_per_ph * variance;
        }
    }
    Ok(Beginning { state, belief, coordinates, never_analysed })
}

/// A bath whose base is what its first measured pH says, where that is followed; nothing counts as fed yet.
fn at_measured_ph(
    rows: &RowByRow,
    log: &ObservedLog,
    coordinates: &Coordinates,
    mut state: Vec<f64>,
) -> Result<Vec<f64>, DataError> {
    let Some(corrector) = coordinates.corrector() else { return Ok(state) };
    let Some(first) = log.bath.course.first() else { return Ok(state) };
    let mut values = coordinates.read(&state);
    rows.stand_at_ph(&mut state, first)?;
    values[coordinates.base()] = coordinates.read(&state)[coordinates.base()];
    values[corrector] = 0.0;
    coordinates.write(&mut state, &values);
    Ok(state)
}

/// Moles of base that move the pH by one.
fn base_per_ph(
    rows: &RowByRow,
    coordinates: &Coordinates,
    state: &[f64],
    tank: &Tank,
) -> Result<f64, DataError> {
    let ph = |state: &[f64]| rows.balances(0).observe(state, |observed, _, _| observed.ph);
    let base = coordinates.base();
    let mut values = coordinates.read(state);
    let step = 1e-4 * tank.plant.volume_l;
    values[base] += step;
    let mut moved = state.to_vec();
    coordinates.write(&mut moved, &values);
    let slope = (ph(&moved)? - ph(state)?) / step;
    // A bath that hardly buffers still has its content of base known to a hundredth of a mole per litre.
    Ok((1.0 / slope.abs()).min(0.1 * tank.plant.volume_l))
}
