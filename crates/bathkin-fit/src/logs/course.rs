//! From the rows of a log to the stretches of a course.

use bathkin::Recipe;
use bathkin::constants::{SECONDS_PER_HOUR, ZERO_CELSIUS_K};
use bathkin::life::Stretch;
use bathkin::tank::Ramp;

use super::columns::{AREA, Meaning, PLATING, REMOVED, TEMPERATURE, TIME};
use crate::problem::sheet::{DataError, Sheet};

const M2_PER_DM2: f64 = 1e-2;

/// The course of a log: time counts from its first row.
pub(super) fn course(recipe: &Recipe, log: &Sheet, meanings: &[Meaning]) -> Result<Vec<Stretch>, DataError> {
    let times = times_s(log)?;
    let kelvin = temperatures_k(recipe, log, &times)?;
    let tank_l = recipe.model()?.tank.volume_l;
    let mut stretches = Vec::new();
    for row in 0..times.len() {
        let since = row.saturating_sub(1);
        let temperature = Ramp {
            since_s: times[since],
            from_k: kelvin[since],
            slope_k_s: if row == 0 {
                0.0
            } else {
                (kelvin[row] - kelvin[since]) / (times[row] - times[since])
            },
            until_s: times[row],
        };
        let area_m2 = not_negative(log, AREA, row)? * M2_PER_DM2;
        let mut last = Stretch {
            until_s: times[row],
            area_m2,
            temperature,
            row: Some(row),
            additions: Vec::new(),
            water_l: 0.0,
            removed_l: not_negative(log, REMOVED, row)?,
        };
        let length_s = times[row] - times[since];
        let plating_s = log.cell(PLATING, row).map(|minutes| minutes * 60.0);
        if let Some(plating_s) = plating_s {
            if !(0.0..=length_s * (1.0 + 1e-9) + 1e-6).contains(&plating_s) {
                let expected = format!("at most the {:.1} min since the row before", length_s / 60.0);
                return Err(log.refuse(row, PLATING, &expected));
            }
            if plating_s > 0.0 && plating_s < length_s {
                let until_s = times[since] + plating_s;
                stretches.push(Stretch { until_s, row: None, removed_l: 0.0, ..last.clone() });
            }
            if plating_s < length_s {
                last.area_m2 = 0.0;
            }
        }
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
pub(super) fn finely(course: &[Stretch], points: usize) -> Vec<Stretch> {
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
        let read = |until_s| Stretch {
            until_s,
            row: Some(0),
            additions: Vec::new(),
            water_l: 0.0,
            removed_l: 0.0,
            ..stretch.clone()
        };
        fine.extend(ends.into_iter().map(read));
        fine.push(Stretch { row: Some(0), ..stretch.clone() });
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
        return Err(log.refuse_column(format!("a log needs a column {TIME}")));
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

/// Temperature at every row, K: straight between rows that have one, level before the first and after the
/// last, the recipe's where none has.
fn temperatures_k(recipe: &Recipe, log: &Sheet, times: &[f64]) -> Result<Vec<f64>, DataError> {
    let mut known: Vec<(f64, f64)> = Vec::new();
    for (row, time) in times.iter().enumerate() {
        let Some(celsius) = log.cell(TEMPERATURE, row) else { continue };
        if !(0.0..=105.0).contains(&celsius) {
            return Err(log.refuse(row, TEMPERATURE, "the temperature of an aqueous bath, degC"));
        }
        known.push((*time, celsius + ZERO_CELSIUS_K));
    }
    let working_k = recipe.model()?.tank.temperature_k;
    let at = |time: f64| {
        let after = known.iter().position(|(known, _)| *known >= time);
        match after {
            _ if known.is_empty() => working_k,
            None => known[known.len() - 1].1,
            Some(0) => known[0].1,
            Some(after) => {
                let ((t0, k0), (t1, k1)) = (known[after - 1], known[after]);
                k0 + (k1 - k0) * (time - t0) / (t1 - t0)
            }
        }
    };
    Ok(times.iter().map(|time| at(*time)).collect())
}
