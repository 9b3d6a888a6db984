//! From the rows of a log to the stretches of a course.

use bathkin::Recipe;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::LoggedSegment;

use crate::data::logs::columns::Meaning;
use crate::data::logs::columns::REMOVED;
use crate::data::logs::columns::TIME;
use crate::data::logs::heat::Working;
use crate::data::logs::work::pieces;
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};

/// The course of a log: time counts from its first row.
pub(crate) fn course(
    recipe: &Recipe,
    log: &Sheet,
    meanings: &[Meaning],
) -> Result<Vec<LoggedSegment>, DataError> {
    let times = times_s(log)?;
    let tank_l = recipe.model()?.tank.plant.volume_l;
    let pieces = pieces(recipe, log, &times)?;
    let rows = Working::read(recipe, log, &times)?.along(&pieces);
    let mut stretches = Vec::new();
    for (row, parts) in rows.into_iter().enumerate() {
        let plain = |(until_s, plates, temperature)| LoggedSegment {
            until_s,
            plates,
            temperature,
            row: None,
            additions: Vec::new(),
            water_l: 0.0,
            removed_l: 0.0,
        };
        let mut parts: Vec<LoggedSegment> = parts.into_iter().map(plain).collect();
        let Some(mut last) = parts.pop() else { continue };
        stretches.append(&mut parts);
        last.row = Some(row);
        last.removed_l = not_negative(log, REMOVED, row)?;
        for ((column, _), meaning) in log.columns.iter().zip(meanings) {
            let (Meaning::Addition { litres, .. } | Meaning::Water { litres }) = meaning else { continue };
            let volume_l = not_negative(log, column, row)? * litres;
            if volume_l > tank_l {
                let expected = format!("at most the {tank_l:.4} L of the tank: is it in another unit?");
                return Err(log.refuse(row, column, &expected));
            }
            match meaning {
                Meaning::Addition { solution, .. } if volume_l > 0.0 => {
                    last.additions.push((*solution, volume_l))
                }
                Meaning::Water { .. } => last.water_l += volume_l,
                _ => {}
            }
        }
        stretches.push(last);
    }
    Ok(stretches)
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
fn not_negative(log: &Sheet, column: &str, row: usize) -> Result<f64, DataError> {
    match log.cell(column, row) {
        Some(value) if value < 0.0 => Err(log.refuse(row, column, "zero or more")),
        value => Ok(value.unwrap_or(0.0)),
    }
}

fn times_s(log: &Sheet) -> Result<Vec<f64>, DataError> {
    if log.column(TIME).is_none() {
        return Err(log.problem(SheetProblem::Missing { column: TIME }));
    }
    let mut times: Vec<f64> = Vec::with_capacity(log.rows.len());
    let mut first = 0.0;
    for row in 0..log.rows.len() {
        let Some(hours) = log.cell(TIME, row) else {
            return Err(log.refuse(row, TIME, "a time in every row"));
        };
        if row == 0 {
            first = hours;
        }
        let seconds = (hours - first) * SECONDS_PER_HOUR;
        if times.last().is_some_and(|before| seconds <= *before) {
            return Err(log.refuse(row, TIME, "a time after that of the row before"));
        }
        times.push(seconds);
    }
    Ok(times)
}
