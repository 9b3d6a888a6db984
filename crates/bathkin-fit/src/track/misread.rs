//! A column whose readings are ten times too large or too small all along: one finding for all of them.

use crate::format::number;
use crate::track::finding::{Finding, Grade, MISREAD, OUTLYING};
use crate::track::observed::ObservedLog;

/// Fewer readings off by a factor of ten are slips, each of its own row.
const FEWEST: usize = 3;
/// Part of the readings of a column from which on it is the column.
const PART: f64 = 0.5;

/// Findings in which the rows of such a column are one.
pub(crate) fn columns_at_once(log: &ObservedLog, mut found: Vec<Finding>) -> Vec<Finding> {
    for (column, name) in log.columns.iter().enumerate() {
        let moved =
            |one: &Finding| one.code == OUTLYING && one.of == *name && times(log, column, one).is_some();
        let off: Vec<&Finding> = found.iter().filter(|one| moved(one)).collect();
        let readings = log.readings.iter().filter(|one| one.column == column).count();
        let Some((first, times)) = off.first().and_then(|one| Some((*one, times(log, column, one)?))) else {
            continue;
        };
        if off.len() < FEWEST || (off.len() as f64) < PART * readings as f64 {
            continue;
        }
        let (value, expected) = (first.meant.unwrap_or(0.0) / times, first.size.unwrap_or(0.0));
        let misread = Finding {
            code: MISREAD,
            grade: Grade::Finding,
            row: None,
            at_h: None,
            date: None,
            of: name.clone(),
            size: None,
            size_sd: None,
            score: off.iter().map(|one| one.score).sum::<f64>() / off.len() as f64,
            meant: None,
            text: format!(
                "{} of {readings} readings of {name} are {} what is expected, such as {} in row {} where {} was: they are \
                 left out; is the point moved, or the column in another unit?",
                off.len(),
                if times > 1.0 { "a tenth of" } else { "ten times" },
                number(value, 3),
                first.row.unwrap_or_default(),
                number(value - expected, 3)
            ),
        };
        found.retain(|one| one.code != OUTLYING || one.of != *name);
        found.insert(0, misread);
    }
    found
}

/// By what a reading would have to be taken for its point to be moved, where that explains it.
fn times(log: &ObservedLog, column: usize, one: &Finding) -> Option<f64> {
    const POINT: [f64; 2] = [10.0, 0.1];
    let of_row = |reading: &&crate::track::observed::Observed| {
        reading.column == column && Some(log.rows[reading.row]) == one.row
    };
    let value = log.readings.iter().find(of_row)?.value;
    POINT.into_iter().find(|times| one.meant.is_some_and(|meant| (meant / value / times - 1.0).abs() < 1e-9))
}
