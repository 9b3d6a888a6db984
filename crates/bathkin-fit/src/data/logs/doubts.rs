//! What of a log can be used but is hard to believe: racks that miss it, metal that its work does not explain, additions that
//! were hardly made at once.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::{LoggedSegment, Plates};
use bathkin::model::Model;

use crate::data::logs::at_once::{added_before_first, at_once};
use crate::data::logs::columns::Meaning;
use crate::data::logs::log_doubt::LogDoubt;
use crate::data::logs::logged_bath::LoggedBath;
use crate::data::logs::work::{WorkSource, racks_span_s};
use crate::data::sheet::Sheet;
use crate::error::DataError;

/// Metal that is so many times what the work would plate, or so small a part of it, is that of another tank or in another
/// unit: rates of recipes, ages of baths and temperatures differ by less.
const TIMES_PLATED: f64 = 3.0;
/// Less than this part of the metal of a fresh bath may be scatter of the analyses.
const LEAST_TURNOVERS: f64 = 0.3;

/// What is hard to believe of a log.
pub(crate) fn doubts(
    log: &Sheet,
    bath: &LoggedBath,
    meanings: &[Meaning],
) -> Result<Vec<LogDoubt>, DataError> {
    let model = bath.recipe.model()?;
    let mut found: Vec<LogDoubt> = log.doubts.iter().cloned().map(LogDoubt::OfReader).collect();
    found.extend(added_before_first(model, log, meanings));
    found.extend(at_once(model, log, bath));
    found.extend(bath.measured_ph.iter().flat_map(|measured| measured.doubts.iter().cloned()));
    if bath.work == WorkSource::ByRacks {
        found.extend(racks_miss_it(model, log, bath)?);
    }
    // Nothing plates where nobody says what.
    if bath.work != WorkSource::Nowhere {
        let metal = Metal::of(model);
        found
            .extend(beyond_the_bath(&metal, log, bath).or_else(|| another_tank(&metal, log, bath, meanings)));
    }
    Ok(found)
}

/// When each row was written, s from the first.
fn rows_s(bath: &LoggedBath) -> Vec<f64> {
    bath.course.iter().filter(|segment| segment.row.is_some()).map(|segment| segment.until_s).collect()
}

/// Racks that all lie outside of the log, or end before its last interval.
fn racks_miss_it(model: &Model, log: &Sheet, bath: &LoggedBath) -> Result<Option<LogDoubt>, DataError> {
    let rows = rows_s(bath);
    let (Some((begins_s, ends_s)), [.., before_s, last_s]) = (racks_span_s(model, log)?, &rows[..]) else {
        return Ok(None);
    };
    let hours = |seconds: f64| seconds / SECONDS_PER_HOUR;
    if begins_s >= *last_s || ends_s <= 0.0 {
        let (begins_h, ends_h) = (hours(begins_s), hours(ends_s));
        return Ok(Some(LogDoubt::RacksElsewhere { begins_h, ends_h, last_h: hours(*last_s) }));
    }
    let first_without = rows.partition_point(|row_s| *row_s < ends_s) + 1;
    Ok((ends_s <= *before_s).then(|| LogDoubt::RacksEnd {
        row: log.rows.get(first_without).copied().unwrap_or_default(),
        ends_h: hours(ends_s),
        before_h: hours(last_s - ends_s),
    }))
}

/// The metal of a bath along a course, in grams.
struct Metal<'a> {
    model: &'a Model,
    slot: usize,
    g_mol: f64,
    /// What the bath as made up holds, g.
    fresh_g: f64,
}

impl<'a> Metal<'a> {
    fn of(model: &'a Model) -> Self {
        let slot = model.tank.bath.roles.metal;
        let g_mol = model.tank.bath.liquid_g_mol[slot];
        let fresh_g = model.tank.plant.volume_l * model.fresh_totals_mol_l[slot] * g_mol;
        Metal { model, slot, g_mol, fresh_g }
    }

    fn name(&self) -> String {
        self.model.tank.bath.equilibrium.component_names()[self.slot].clone()
    }

    /// Brought by the additions at the end of a segment, g.
    fn added_g(&self, segment: &LoggedSegment) -> f64 {
        let known = &self.model.tank.operation.replenishers;
        let of = |(solution, litres): &(usize, f64)| {
            known.get(*solution).map_or(0.0, |of| of.per_litre[self.slot]) * litres * self.g_mol
        };
        segment.additions.iter().map(of).sum()
    }

    /// Plated between two times at the rate of the fresh bath, or as thick as the log says, g.
    fn plated_g(&self, course: &[LoggedSegment], from_s: f64, to_s: f64) -> f64 {
        let (mol_m2_s, um_s) = self.model.fresh_deposition();
        let mut since_s = 0.0_f64;
        let of = |segment: &LoggedSegment| {
            let length_s = (segment.until_s.min(to_s) - since_s.max(from_s)).max(0.0);
            since_s = segment.until_s;
            length_s
                * self.g_mol
                * match segment.plates {
                    Plates::Area(m2) => m2 * mol_m2_s,
                    Plates::Laid(um_m2_s) => um_m2_s * mol_m2_s / um_s,
                }
        };
        course.iter().map(of).sum()
    }
}

/// Work of one row that plates more than the bath has: with the metal its rate would have gone down long before.
fn beyond_the_bath(metal: &Metal<'_>, log: &Sheet, bath: &LoggedBath) -> Option<LogDoubt> {
    /// As much more than the bath holds.
    const TIMES_HELD: f64 = 1.5;
    let rows = rows_s(bath);
    let added_g = |from_s: f64, to_s: f64| -> f64 {
        let between = bath.course.iter().filter(|one| one.until_s >= from_s && one.until_s < to_s);
        between.map(|one| metal.added_g(one)).sum()
    };
    (1..rows.len()).find_map(|row| {
        let plated_g = metal.plated_g(&bath.course, rows[row - 1], rows[row]);
        let held_g = metal.fresh_g + added_g(rows[row - 1], rows[row]);
        (plated_g > TIMES_HELD * held_g).then(|| LogDoubt::WorkBeyondBath {
            row: log.rows[row],
            metal: metal.name(),
            plated_g,
            held_g,
            volume_l: metal.model.tank.plant.volume_l,
        })
    })
}

/// The metal that a log adds and uses up between its first analysis and its last, held against what its work plates.
fn another_tank(metal: &Metal<'_>, log: &Sheet, bath: &LoggedBath, meanings: &[Meaning]) -> Option<LogDoubt> {
    let tank = &metal.model.tank;
    let (column, per_mol_l) = log.columns.iter().zip(meanings).find_map(|((name, _), meaning)| {
        let Meaning::Reading(reading) = meaning else { return None };
        let (slot, per_mol_l) = reading.content(tank)?;
        (slot == metal.slot).then_some((name, per_mol_l))
    })?;
    let analysed = |row: &usize| log.cell(column, *row).is_some();
    let (first, last) = ((0..log.rows.len()).find(analysed)?, (0..log.rows.len()).rfind(analysed)?);
    let held_g =
        |row: usize| log.cell(column, row).map(|value| value / per_mol_l * metal.g_mol * tank.plant.volume_l);
    let rows = rows_s(bath);
    let (from_s, to_s) = (*rows.get(first)?, *rows.get(last)?);
    // What is added at a row comes after its analysis.
    let within = bath.course.iter().filter(|segment| segment.until_s >= from_s && segment.until_s < to_s);
    let gone_g = within.map(|segment| metal.added_g(segment)).sum::<f64>() + held_g(first)? - held_g(last)?;
    let plated_g = metal.plated_g(&bath.course, from_s, to_s);
    let odd = gone_g > TIMES_PLATED * plated_g || TIMES_PLATED * gone_g < plated_g;
    let by_much = (gone_g - plated_g).abs() > LEAST_TURNOVERS * metal.fresh_g;
    (odd && by_much).then(|| LogDoubt::MetalWithoutWork {
        first: log.rows[first],
        last: log.rows[last],
        metal: metal.name(),
        gone_g,
        plated_g,
        volume_l: tank.plant.volume_l,
    })
}
