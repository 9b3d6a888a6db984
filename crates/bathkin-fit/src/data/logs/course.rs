//! From the rows of a log to the stretches of a course.

use bathkin::Recipe;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::LoggedSegment;
use bathkin::model::LoggedAdditions;

use crate::data::logs::columns::Meaning;
use crate::data::logs::columns::REMOVED;
use crate::data::logs::columns::TIME;
use crate::data::logs::evenly::evenly;
use crate::data::logs::heat::Working;
use crate::data::logs::work::pieces;
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};

/// The course of a log: time counts from its first row. What cannot be used goes to `wrong`; rows without times
/// in order have no course.
pub(crate) fn course(
    recipe: &Recipe,
    log: &Sheet,
    meanings: &[Meaning],
    wrong: &mut Vec<DataError>,
) -> Result<Vec<LoggedSegment>, DataError> {
    let mut stretches = Vec::new();
    let before = wrong.len();
    let times = times_s(log, wrong);
    let ends = if wrong.len() == before {
        let pieces = pieces(recipe, log, &times, wrong)?;
        Working::read(recipe, log, &times, wrong)?.along(&pieces)
    } else {
        vec![Vec::new(); log.rows.len()]
    };
    let model = recipe.model()?;
    let tank_l = model.tank.plant.volume_l;
    let mut since_s = 0.0;
    for (row, parts) in ends.into_iter().enumerate() {
        let plain = |(until_s, plates, temperature)| LoggedSegment {
            until_s,
            plates,
            temperature,
            ph: None,
            row: None,
            additions: Vec::new(),
            water_l: 0.0,
            removed_l: 0.0,
        };
        let removed_l = not_negative(log, REMOVED, row, wrong);
        let (additions, water_l) = poured(log, meanings, row, tank_l, wrong);
        let mut parts: Vec<LoggedSegment> = parts.into_iter().map(plain).collect();
        let Some(last) = parts.pop() else { continue };
        let until_s = last.until_s;
        let written = LoggedSegment { row: Some(row), additions, water_l, removed_l, ..last };
        match model.log.additions {
            LoggedAdditions::AtTheRow => {
                stretches.append(&mut parts);
                stretches.push(written);
            }
            LoggedAdditions::SinceTheRowBefore => stretches.extend(evenly(parts, written, since_s)),
        }
        since_s = until_s;
    }
    Ok(stretches)
}

/// No bath is fed more than this part of its volume between two rows.
const MOST_AT_ONCE: f64 = 0.5;

/// What stands in a row as added: (solution, L) of each, and litres of water.
pub(super) fn poured(
    log: &Sheet,
    meanings: &[Meaning],
    row: usize,
    tank_l: f64,
    wrong: &mut Vec<DataError>,
) -> (Vec<(usize, f64)>, f64) {
    let (mut additions, mut water_l) = (Vec::new(), 0.0);
    let before = wrong.len();
    for ((column, _), meaning) in log.columns.iter().zip(meanings) {
        let (Meaning::Addition { litres, .. } | Meaning::Water { litres }) = meaning else { continue };
        let volume_l = not_negative(log, column, row, wrong) * litres;
        if volume_l > tank_l {
            let expected = format!("at most the {tank_l:.4} L of the tank: is it in another unit?");
            wrong.push(log.refuse(row, column, &expected));
        }
        match meaning {
            Meaning::Addition { solution, .. } if volume_l > 0.0 => additions.push((*solution, volume_l)),
            Meaning::Water { .. } => water_l += volume_l,
            _ => {}
        }
    }
    let (most, all_l) = (MOST_AT_ONCE * tank_l, additions.iter().map(|(_, litres)| litres).sum::<f64>());
    if wrong.len() == before && all_l > most {
        let largest = log.columns.iter().zip(meanings).filter_map(|((column, _), meaning)| match meaning {
            Meaning::Addition { litres, .. } => Some((column, log.cell(column, row).unwrap_or(0.0) * litres)),
            _ => None,
        });
        if let Some((column, _)) = largest.max_by(|one, other| one.1.total_cmp(&other.1)) {
            let expected = format!(
                "additions of at most {most:.4} L in one row, half the tank; they are {all_l:.4} L: is it the log of a \
                 larger bath, or another unit?"
            );
            wrong.push(log.refuse(row, column, &expected));
        }
    }
    (additions, water_l)
}

/// The same course read at `points` times or a few more, evenly spread, and just after every addition.
pub(crate) fn finely(course: &[LoggedSegment], points: usize) -> Vec<LoggedSegment> {
    // Far below the time between rows, far above rounding.
    const AFTER_S: f64 = 0.1;
    let whole_s = course.last().map_or(0.0, |last| last.until_s);
    let spacing_s = (whole_s / points.max(1) as f64).max(2.0 * AFTER_S);
    let mut fine = Vec::new();
    let mut since_s = 0.0;
    for stretch in course {
        let length_s = stretch.until_s - since_s;
        let mut ends: Vec<f64> = Vec::new();
        if length_s > 2.0 * AFTER_S {
            ends.push(since_s + AFTER_S);
            let pieces = (length_s / spacing_s).ceil();
            ends.extend((1..pieces as usize).map(|piece| since_s + length_s * piece as f64 / pieces));
        }
        let read = |until_s| LoggedSegment {
            until_s,
            row: Some(0),
            additions: Vec::new(),
            water_l: 0.0,
            removed_l: 0.0,
            ..stretch.clone()
        };
        fine.extend(ends.into_iter().map(read));
        fine.push(LoggedSegment { row: Some(0), ..stretch.clone() });
        since_s = stretch.until_s;
    }
    fine
}

/// A cell of a column that may be empty, for nothing.
fn not_negative(log: &Sheet, column: &str, row: usize, wrong: &mut Vec<DataError>) -> f64 {
    match log.cell(column, row) {
        Some(value) if value < 0.0 => {
            wrong.push(log.refuse(row, column, "zero or more"));
            0.0
        }
        value => value.unwrap_or(0.0),
    }
}

fn times_s(log: &Sheet, wrong: &mut Vec<DataError>) -> Vec<f64> {
    if log.column(TIME).is_none() {
        wrong.push(log.problem(SheetProblem::Missing { column: TIME }));
        return Vec::new();
    }
    let mut times: Vec<f64> = Vec::with_capacity(log.rows.len());
    let first = log.cell(TIME, 0).unwrap_or(0.0);
    for row in 0..log.rows.len() {
        let Some(hours) = log.cell(TIME, row) else {
            wrong.push(log.refuse(row, TIME, "a time in every row"));
            continue;
        };
        let seconds = (hours - first) * SECONDS_PER_HOUR;
        if times.last().is_some_and(|before| seconds <= *before) {
            wrong.push(log.refuse(row, TIME, "a time after that of the row before"));
        }
        times.push(seconds);
    }
    times
}
