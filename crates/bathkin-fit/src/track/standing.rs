//! How the bath stands today, with its uncertainty, and which analysis would tell most about its end.

use bathkin::Recipe;
use bathkin::life::Wording;
use bathkin::model::Model;
use bathkin::tank::quantity::UsualError;
use bathkin::tank::{Balances, PhPolicy, Quantity, Readings, Tank};
use bathkin_statistics::quantiles::of_ordered;
use rayon::prelude::*;

use crate::error::DataError;
use crate::track::observed::ObservedLog;
use crate::track::passes::Passes;
use crate::track::rest::{Member, Today, width_removed};
use crate::track::result::{DumpDate, GivenStanding, NextAnalysis, Passed, Standing};
use crate::track::unknown::Kind;

/// Members that tell the spread of what the bath shows.
const SHOWN: usize = 200;

/// What the bath and its members show today.
pub(crate) struct Shown {
    /// The bath at the mean, its tank at its unknowns.
    pub at_mean: Readings,
    pub tank: Tank,
    /// Each member's, as many as are looked at.
    pub members: Vec<Readings>,
    /// Offset of the electrode of each member, pH.
    electrode: Vec<f64>,
    analysed: Vec<bool>,
    /// Columns of the log with readings.
    columns: Vec<String>,
}

impl Shown {
    /// Reads the bath and its first members.
    ///
    /// # Errors
    /// An equilibrium that is not found.
    pub fn of(today: &Today, members: &[Member], log: &ObservedLog) -> Result<Self, DataError> {
        let model = today.recipe.model()?;
        let totals = &model.fresh_totals_mol_l;
        let contents = today.coordinates.len();
        let fresh_ph = {
            let balances = Balances::new(today.tank, totals);
            let fresh = bathkin::life::simulate::fresh_state(&balances, totals);
            balances.observe(&fresh, |observed, _, _| observed.ph)?
        };
        let read = |x: &nalgebra::DVector<f64>| -> Result<(Tank, Readings), DataError> {
            let values = &x.as_slice()[contents..];
            let tank = crate::track::unknown::tank_at(today.tank, today.unknowns, values);
            let balances = Balances::new(&tank, totals);
            let readings = Readings::take(&balances, &today.state_of(x), fresh_ph)?.cooled(&balances)?;
            Ok((tank, readings))
        };
        let (tank, at_mean) = read(&today.belief.mean)?;
        let looked_at = &members[..members.len().min(SHOWN)];
        let each = looked_at
            .par_iter()
            .map(|member| read(&member.x).map(|(_, readings)| readings))
            .collect::<Result<Vec<Readings>, DataError>>()?;
        let electrode = today.unknowns.iter().position(|unknown| unknown.kind == Kind::Electrode);
        let analysed = Quantity::all(&tank)
            .into_iter()
            .map(|quantity| {
                let followed = log.bath.measured_ph.is_some() && quantity == Quantity::PH;
                followed
                    || log.readings.iter().any(|one| {
                        one.reading.quantity == quantity
                            || one.reading.content(&tank).is_some_and(|(slot, _)| {
                                quantity.content(&tank).is_some_and(|(own, _)| own == slot)
                            })
                    })
            })
            .collect();
        Ok(Shown {
            at_mean,
            members: each,
            electrode: looked_at
                .iter()
                .map(|member| electrode.map_or(0.0, |place| member.x[contents + place]))
                .collect(),
            tank,
            analysed,
            columns: log.columns.clone(),
        })
    }

    /// A quantity of each member.
    fn each(&self, quantity: Quantity) -> Vec<f64> {
        self.members.iter().map(|readings| quantity.value(&self.tank, readings)).collect()
    }
}

/// Every reading of the bath with its spread.
pub(crate) fn standing(recipe: &Recipe, shown: &Shown) -> Result<Vec<Standing>, DataError> {
    let model = recipe.model()?;
    let tank = &shown.tank;
    let points = model.tank.operation.set_points;
    let mut found = Vec::new();
    for (quantity, analysed) in Quantity::all(tank).into_iter().zip(&shown.analysed) {
        let value = quantity.value(tank, &shown.at_mean);
        if !value.is_finite() || quantity.is_of_piece_alone() {
            continue;
        }
        let mut each: Vec<f64> = shown.each(quantity).into_iter().filter(|one| one.is_finite()).collect();
        each.sort_by(f64::total_cmp);
        let at = |part| if each.is_empty() { value } else { of_ordered(&each, part) };
        let set_point = if quantity == Quantity::PH {
            (model.tank.operation.policies.ph != PhPolicy::Off).then_some(points.ph)
        } else {
            quantity.content(tank).and_then(|(slot, per_mol_l)| {
                let held = [
                    (tank.bath.roles.metal, points.metal_mol_l),
                    (tank.bath.roles.reductant, points.reductant_mol_l),
                ];
                held.into_iter().find(|(own, _)| *own == slot).map(|(_, mol_l)| mol_l * per_mol_l)
            })
        };
        let (p10, p90) = (at(0.1), at(0.9));
        let said = quantity
            .content(tank)
            .filter(|(slot, _)| quantity == Quantity::component(*slot))
            .and_then(|(slot, _)| model.content_as_said(slot, &shown.columns));
        let as_given = said.map(|Wording { words, unit, factor }| GivenStanding {
            words,
            unit,
            value: value / factor,
            p10: p10 / factor,
            p90: p90 / factor,
            set_point: set_point.map(|set_point| set_point / factor),
        });
        found.push(Standing {
            name: quantity.name(tank),
            title: quantity.title(tank),
            unit: quantity.entry().unit,
            value,
            p10,
            p90,
            as_given,
            set_point,
            pct_of_set_point: set_point
                .filter(|_| quantity != Quantity::PH)
                .map(|set_point| 100.0 * value / set_point),
            analysed: *analysed,
            main: main(model, tank, quantity, *analysed || set_point.is_some()),
        });
    }
    Ok(found)
}

/// Whether a quantity belongs on one screen.
fn main(model: &Model, tank: &Tank, quantity: Quantity, looked_at: bool) -> bool {
    const PLATING: [&str; 2] = ["deposition_um_h", "minutes_to_thickness"];
    // Metal and reductant by one name each.
    let of_role = [tank.bath.roles.metal, tank.bath.roles.reductant];
    match quantity.content(tank) {
        _ if PLATING.contains(&quantity.own_name()) => true,
        _ if [Quantity::PH, Quantity::TURNOVERS, Quantity::METAL_G_L].contains(&quantity) => true,
        _ if Quantity::alloy(tank) == Some(quantity) => true,
        Some((slot, _)) if of_role.contains(&slot) => {
            slot == tank.bath.roles.reductant && quantity == Quantity::component(slot)
        }
        Some((slot, _)) => {
            let with_role = !model.roles[slot].is_empty() || slot == tank.bath.roles.by_product;
            quantity == Quantity::component(slot) && (with_role || looked_at)
        }
        None => looked_at && quantity != Quantity::PH_25C,
    }
}

/// What one more analysis of each kind would take of the width of the date.
pub(crate) fn next_analyses(shown: &Shown, ends: &[Option<f64>], dump: &DumpDate) -> Vec<NextAnalysis> {
    /// A reading of a buffer after a calibration, pH (common practice, no source).
    const CHECKED: f64 = 0.02;
    /// Fewer members tell no correlation.
    const FEWEST: usize = 20;
    let tank = &shown.tank;
    let known: Vec<(usize, f64)> = ends
        .iter()
        .take(shown.members.len())
        .enumerate()
        .filter_map(|(at, end)| Some((at, (*end)?)))
        .collect();
    if known.len() < FEWEST {
        return Vec::new();
    }
    let width_h = dump.clock_h.p90.zip(dump.clock_h.p10).map(|(late, early)| late - early);
    let lives: Vec<f64> = known.iter().map(|(_, end)| *end).collect();
    let one = |of: String, sd: f64, values: &[f64]| {
        let own: Vec<f64> = known.iter().map(|(at, _)| values[*at]).collect();
        let removed = width_removed(&lives, &own, sd * sd);
        NextAnalysis {
            of,
            sd,
            width_removed_pct: 100.0 * removed,
            width_left_h: width_h.map(|width| width * (1.0 - removed)),
        }
    };
    let readable = Quantity::all(tank).into_iter().filter(|quantity| {
        let entry = quantity.entry();
        !entry.counts
            && !quantity.is_of_piece_alone()
            && (quantity.content(tank).is_some() || !entry.spellings.is_empty())
            && *quantity != Quantity::VOLUME_L
            && ![Quantity::PH, Quantity::PH_25C].contains(quantity)
    });
    let mut found: Vec<NextAnalysis> = readable
        .filter_map(|quantity| {
            let values = shown.each(quantity);
            let here = quantity.value(tank, &shown.at_mean);
            let by_product =
                quantity.content(tank).is_some_and(|(slot, _)| slot == tank.bath.roles.by_product);
            let sd = match quantity.entry().error {
                UsualError::Absolute(sd, _) => sd,
                UsualError::Relative(part, _) => here.abs() * if by_product { 0.05 } else { part },
            };
            (here.is_finite() && sd > 0.0 && values.iter().all(|value| value.is_finite()))
                .then(|| one(quantity.name(tank), sd, &values))
        })
        .collect();
    found.push(one("electrode checked in a buffer".to_owned(), CHECKED, &shown.electrode));
    found.sort_by(|a, b| b.width_removed_pct.total_cmp(&a.width_removed_pct));
    found
}

/// Limits that the bath is past, and since which row.
pub(crate) fn passed(
    recipe: &Recipe,
    of: &Passes,
    log: &ObservedLog,
    shown: &Shown,
    date: &dyn Fn(f64) -> Option<String>,
) -> Result<Vec<Passed>, DataError> {
    let model = recipe.model()?;
    let hours = log.times_h();
    let balances = Balances::new(&of.tank, &model.fresh_totals_mol_l);
    let fresh = bathkin::life::simulate::fresh_state(&balances, &model.fresh_totals_mol_l);
    let fresh_ph = balances.observe(&fresh, |observed, _, _| observed.ph)?;
    let mut found = Vec::new();
    for limit in model.limits.iter().filter(|limit| limit.margin(&shown.tank, &shown.at_mean) <= 0.0) {
        // From the last row back, as long as it was past.
        let mut since = None;
        for (at, (row, state)) in of.rows.iter().zip(&of.states).enumerate().rev() {
            let values = &row.belief.mean.as_slice()[of.coordinates.len()..];
            let tank = crate::track::unknown::tank_at(&of.tank, &of.unknowns, values);
            let balances = Balances::new(&tank, &model.fresh_totals_mol_l);
            if limit.margin(&tank, &Readings::take(&balances, state, fresh_ph)?) > 0.0 {
                break;
            }
            since = Some(at);
        }
        found.push(Passed {
            limit: limit.name.clone(),
            value: limit.value(&shown.tank, &shown.at_mean),
            bound: limit.bound,
            as_given: limit.as_given(Some(limit.value(&shown.tank, &shown.at_mean))),
            row: since.map(|at| log.rows[at]),
            date: since.and_then(|at| hours.get(at)).and_then(|hours| date(*hours)),
        });
    }
    Ok(found)
}
