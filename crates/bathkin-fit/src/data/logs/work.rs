//! What plated between the rows of a log: what each row says of it, or the racks of the recipe's calendar.

use bathkin::Recipe;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::Plates;
use bathkin::model::Model;
use bathkin::tank::{Load, Work};

use crate::data::logs::columns::AREA;
use crate::data::logs::columns::IN_TANK;
use crate::data::logs::columns::PLATING;
use crate::data::logs::columns::RACK_IN;
use crate::data::logs::columns::RACK_OUT;
use crate::data::logs::columns::THICKNESS;
use crate::data::logs::columns::TIME;
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};

const M2_PER_DM2: f64 = 1e-2;
const SECONDS_PER_MINUTE: f64 = 60.0;
/// Rounding of minutes and hours.
const SLACK: f64 = 1e-9;

/// Something plates, or nothing, up to a time, s from the first row.
pub(crate) type Piece = (f64, Plates);

/// Where the work of a log is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum WorkSource {
    /// By its own columns.
    ByTheLog,
    /// By the racks of the recipe.
    ByRacks,
    /// Not at all: nothing plates.
    Nowhere,
}

/// Where the work of a log is read: its own columns count, else the racks of the recipe.
pub(crate) fn work_source(recipe: &Recipe, log: &Sheet) -> bathkin::error::Result<WorkSource> {
    if [AREA, IN_TANK].iter().any(|column| log.column(column).is_some()) {
        return Ok(WorkSource::ByTheLog);
    }
    Ok(match recipe.model()?.tank.operation.work {
        Work::Loads(_) => WorkSource::ByRacks,
        Work::Steady(_) => WorkSource::Nowhere,
    })
}

/// Whether the thickness of a row says how long its area plated, so that the thickness is no reading.
pub(crate) fn thickness_is_work(log: &Sheet, row: usize) -> bool {
    log.cell(AREA, row).is_some() && log.cell(PLATING, row).is_none()
}

/// What plated up to each row since the row before, in pieces whose last one ends with the row.
pub(crate) fn pieces(
    recipe: &Recipe,
    log: &Sheet,
    times_s: &[f64],
    wrong: &mut Vec<DataError>,
) -> Result<Vec<Vec<Piece>>, DataError> {
    if log.column(AREA).is_some() && log.column(IN_TANK).is_some() {
        wrong.push(log.problem(SheetProblem::WorkTwice { columns: [AREA, IN_TANK] }));
    }
    let of_log = [RACK_IN, RACK_OUT].into_iter().find(|column| log.column(column).is_some());
    if let Some(column) = of_log {
        for other in [IN_TANK, THICKNESS].into_iter().filter(|other| log.column(other).is_some()) {
            wrong.push(log.problem(SheetProblem::WorkTwice { columns: [column, other] }));
        }
    }
    let racks = match work_source(recipe, log)? {
        WorkSource::ByRacks => racks(recipe, log)?,
        WorkSource::ByTheLog if of_log.is_some() => written_racks(log, times_s, wrong),
        WorkSource::ByTheLog | WorkSource::Nowhere => Vec::new(),
    };
    let of = |row: usize| {
        let since_s = times_s[row.saturating_sub(1)];
        if row > 0 && (!racks.is_empty() || of_log.is_some()) {
            return between(&racks, since_s, times_s[row]);
        }
        of_row(log, row, since_s, times_s[row]).unwrap_or_else(|error| {
            wrong.push(error);
            vec![(times_s[row], Plates::Area(0.0))]
        })
    };
    Ok((0..times_s.len()).map(of).collect())
}

/// What the columns of a row say.
fn of_row(log: &Sheet, row: usize, since_s: f64, until_s: f64) -> Result<Vec<Piece>, DataError> {
    let nothing = Plates::Area(0.0);
    let read = |column: &str| match log.cell(column, row) {
        Some(value) if value < 0.0 => Err(log.refuse(row, column, "zero or more")),
        value => Ok(value),
    };
    let length_s = until_s - since_s;
    let in_tank = read(IN_TANK)?.unwrap_or(0.0);
    let area = read(AREA)?.unwrap_or(0.0);
    let minutes = read(PLATING)?;
    let thickness_um = log.cell(THICKNESS, row);
    let plating_s = minutes.map(|minutes| minutes * SECONDS_PER_MINUTE);
    if let Some(plating_s) = plating_s
        && plating_s > length_s * (1.0 + SLACK) + 1e-6
        && row > 0
    {
        let expected = format!("at most the {:.1} min since the row before", length_s / SECONDS_PER_MINUTE);
        return Err(log.refuse(row, PLATING, &expected));
    }
    // The first row has no time before it.
    if row == 0 {
        return Ok(vec![(until_s, nothing)]);
    }
    if in_tank > 0.0 {
        return Ok(vec![(until_s, Plates::Area(in_tank * M2_PER_DM2))]);
    }
    let m2 = area * M2_PER_DM2;
    match (plating_s, thickness_um) {
        _ if area == 0.0 => Ok(vec![(until_s, nothing)]),
        (Some(plating_s), _) if plating_s >= length_s * (1.0 - SLACK) => {
            Ok(vec![(until_s, Plates::Area(m2))])
        }
        (Some(plating_s), _) if plating_s > 0.0 => {
            Ok(vec![(since_s + plating_s, Plates::Area(m2)), (until_s, nothing)])
        }
        (Some(_), _) => Ok(vec![(until_s, nothing)]),
        (None, Some(thickness_um)) => Ok(vec![(until_s, Plates::Laid(m2 * thickness_um / length_s))]),
        (None, None) => Err(log.refuse(row, AREA, BARE)),
    }
}

/// What is wanted in place of an area alone.
const BARE: &str = "how long or how thick it plated: plating_min (of the time since the row before) or \
                    thickness_um beside it; rack_in_h and rack_out_h, when it went in and came out; area_in_tank_dm2 where it is the mean in the tank since the row \
                    before; or no area, and the racks of a calendar (work.calendar)";

/// A rack plates from and to, s from the first row, with its area, m².
type Stay = (f64, f64, f64);

/// The racks that the rows of a log have, each with its area: from when it went in to when it came out, told by these two
/// or by one of them and minutes; by minutes alone from the row before on.
fn written_racks(log: &Sheet, times_s: &[f64], wrong: &mut Vec<DataError>) -> Vec<Stay> {
    let first_s = log.cell(TIME, 0).unwrap_or(0.0) * SECONDS_PER_HOUR;
    let at_s =
        |column: &str, row: usize| log.cell(column, row).map(|hours| hours * SECONDS_PER_HOUR - first_s);
    let of = |row: usize| -> Result<Option<Stay>, DataError> {
        let (goes_in, comes_out) = (at_s(RACK_IN, row), at_s(RACK_OUT, row));
        let stay_s = log.cell(PLATING, row).map(|minutes| minutes * SECONDS_PER_MINUTE);
        let Some(area) = log.cell(AREA, row).filter(|area| *area != 0.0) else {
            let told = [RACK_IN, RACK_OUT].into_iter().find(|column| log.cell(column, row).is_some());
            let empty = told.filter(|_| log.cell(AREA, row).is_none());
            return empty.map_or(Ok(None), |_| Err(log.refuse(row, AREA, "the area of the rack")));
        };
        if area < 0.0 {
            return Err(log.refuse(row, AREA, "zero or more"));
        }
        let (from_s, to_s) = match (goes_in, comes_out, stay_s) {
            (Some(from_s), Some(to_s), _) => (from_s, to_s),
            (Some(from_s), None, Some(stay_s)) => (from_s, from_s + stay_s),
            (None, Some(to_s), Some(stay_s)) => (to_s - stay_s, to_s),
            (None, None, Some(stay_s)) if row > 0 => (times_s[row - 1], times_s[row - 1] + stay_s),
            (None, None, Some(_)) => return Ok(None),
            (Some(_), None, None) => return Err(log.refuse(row, RACK_OUT, LEFT)),
            (None, Some(_), None) => return Err(log.refuse(row, RACK_IN, ENTERED)),
            (None, None, None) => return Err(log.refuse(row, AREA, BARE)),
        };
        if to_s <= from_s {
            let column = if comes_out.is_some() { RACK_OUT } else { PLATING };
            return Err(log.refuse(row, column, "a time after the rack went in"));
        }
        Ok(Some((from_s.max(0.0), to_s, area * M2_PER_DM2)))
    };
    let each = (0..times_s.len()).filter_map(|row| {
        of(row).unwrap_or_else(|error| {
            wrong.push(error);
            None
        })
    });
    each.filter(|(from_s, to_s, _)| to_s > from_s).collect()
}

/// What is wanted of a rack of which one end is written.
const LEFT: &str = "when the rack came out, or plating_min";
const ENTERED: &str = "when the rack went in, or plating_min";

/// Clock zero of the recipe's racks, s from the first row.
fn zero_s(model: &Model, log: &Sheet) -> Result<f64, DataError> {
    match (log.start_s, model.calendar_zero) {
        (Some(start_s), Some(zero)) => Ok(zero.seconds() - start_s),
        (Some(_), None) => Err(log.problem(SheetProblem::NoClock)),
        // A log without dates counts its hours on the clock of the racks.
        (None, _) => Ok(-log.cell(TIME, 0).unwrap_or(0.0) * SECONDS_PER_HOUR),
    }
}

/// The racks of the recipe, by the clock of the log.
fn racks(recipe: &Recipe, log: &Sheet) -> Result<Vec<Stay>, DataError> {
    let model = recipe.model()?;
    let Work::Loads(loads) = &model.tank.operation.work else { return Ok(Vec::new()) };
    let first_s = log.cell(TIME, 0).unwrap_or(0.0) * SECONDS_PER_HOUR;
    let zero_s = zero_s(model, log)?;
    let last_s = log.rows.len().checked_sub(1).and_then(|row| log.cell(TIME, row));
    let until_s = last_s.map_or(0.0, |hours| hours * SECONDS_PER_HOUR) - first_s;
    Ok(loads.racks().iter().flat_map(|load| stays(load, zero_s, until_s)).collect())
}

/// When the first of the recipe's racks goes in and the last one comes out for good, s from the first row.
pub(crate) fn racks_span_s(model: &Model, log: &Sheet) -> Result<Option<(f64, f64)>, DataError> {
    let Work::Loads(loads) = &model.tank.operation.work else { return Ok(None) };
    let zero_s = zero_s(model, log)?;
    let last = |load: &Load| load.in_s + load.stay_s + f64::from(load.count.saturating_sub(1)) * load.every_s;
    let begins = loads.racks().iter().map(|load| zero_s + load.in_s).reduce(f64::min);
    let ends = loads.racks().iter().map(|load| zero_s + last(load)).reduce(f64::max);
    Ok(begins.zip(ends))
}

/// When a rack plates between the first row and the last, each time it comes.
fn stays(load: &Load, zero_s: f64, until_s: f64) -> Vec<Stay> {
    let begins_s = zero_s + load.in_s + load.induction_s;
    let ends_s = zero_s + load.in_s + load.stay_s;
    let missed = if load.every_s > 0.0 { (-ends_s / load.every_s).ceil().max(0.0) } else { 0.0 };
    let mut found = Vec::new();
    let mut turn = missed;
    while turn < f64::from(load.count) {
        let (from, to) = (begins_s + turn * load.every_s, ends_s + turn * load.every_s);
        if from >= until_s {
            break;
        }
        if to > from.max(0.0) {
            found.push((from.max(0.0), to, load.area_m2));
        }
        turn += 1.0;
    }
    found
}

/// The area of racks between two times, in pieces.
fn between(racks: &[Stay], since_s: f64, until_s: f64) -> Vec<Piece> {
    let inside = |time: &f64| *time > since_s && *time < until_s;
    let mut ends: Vec<f64> = racks.iter().flat_map(|(from, to, _)| [*from, *to]).filter(inside).collect();
    ends.push(until_s);
    ends.sort_by(f64::total_cmp);
    ends.dedup();
    let mut start = since_s;
    let mut found = Vec::with_capacity(ends.len());
    for end in ends {
        let middle = 0.5 * (start + end);
        let there = racks.iter().filter(|(from, to, _)| (*from..*to).contains(&middle));
        found.push((end, Plates::Area(there.map(|(_, _, area)| area).sum())));
        start = end;
    }
    found
}
