//! Acting on findings: additions nobody wrote down put in, slips put right.

use bathkin::Recipe;
use bathkin::life::LoggedSegment;

use crate::data::sheet::Sheet;
use crate::error::{DataError, RequestProblem};
use crate::format::number;
use crate::track::finding::{Finding, OUTLYING};
use crate::track::observed::ObservedLog;
use crate::track::passes::Passes;

/// What findings of rows say, each with the place of its row.
///
/// # Errors
/// A row that is not there, or has no finding to act on.
pub(crate) fn accepted(
    log: &Sheet,
    observed: &ObservedLog,
    of: &Passes,
    rows: &[usize],
) -> Result<Vec<(usize, Finding)>, DataError> {
    let actionable = |finding: &&Finding| {
        matches!(finding.code, "unlogged_addition" | "forgotten_dose" | "less_added" | OUTLYING)
    };
    let one = |row: &usize| {
        let found = of.findings.iter().filter(actionable).find(|finding| finding.row == Some(*row));
        let at = observed.rows.iter().position(|known| known == row);
        match (at, found) {
            (Some(at), Some(finding)) => Ok((at, finding.clone())),
            _ => Err(RequestProblem::NothingToAccept {
                file: log.file.clone(),
                row: *row,
                with_findings: of.findings.iter().filter(actionable).filter_map(|one| one.row).collect(),
            }
            .into()),
        }
    };
    rows.iter().map(one).collect()
}

/// Puts them into the log as it is followed; says what was done.
pub(crate) fn put_in(
    log: &mut ObservedLog,
    recipe: &Recipe,
    accepted: &[(usize, Finding)],
) -> Result<Vec<String>, DataError> {
    let tank = &recipe.model()?.tank;
    let mut told = Vec::new();
    for (row, finding) in accepted {
        if finding.code == OUTLYING {
            let place =
                log.readings.iter().position(|one| one.row == *row && log.columns[one.column] == finding.of);
            let Some(place) = place else { continue };
            let file_row = log.rows[*row];
            let (words, _) = log.words[log.readings[place].column].clone();
            told.push(match finding.meant {
                Some(meant) => {
                    log.readings[place].value = meant;
                    format!("row {file_row}: {words} taken as {}", number(meant, 4))
                }
                None => {
                    log.readings.remove(place);
                    format!("row {file_row}: {words} left out")
                }
            });
            continue;
        }
        let litres = finding.size.unwrap_or(0.0);
        let parts = match tank.operation.replenishers.iter().position(|known| known.name == finding.of) {
            Some(solution) => vec![(solution, 1.0)],
            None => log.parts_of_a_dose(tank),
        };
        let places = places(&log.bath.course, *row);
        let mut done = 0.0;
        for place in &places {
            for (at, (solution, part)) in parts.iter().enumerate() {
                let each = litres * part / places.len() as f64;
                let moved = moved(&mut log.bath.course[*place].additions, *solution, each);
                done += if at == 0 { moved } else { 0.0 };
            }
        }
        let what = if litres < 0.0 { "taken off what is written" } else { "put in" };
        let (row, litres) = (log.rows[*row], number(done.abs(), 2));
        told.push(format!("row {row}: {litres} L of {} {what}", finding.of));
    }
    Ok(told)
}

/// Segments of a course at the ends of which goes in what comes between a row and the next: those that what is written is spread
/// over, or else that of the row.
fn places(course: &[LoggedSegment], row: usize) -> Vec<usize> {
    let Some(at) = course.iter().position(|segment| segment.row == Some(row)) else { return Vec::new() };
    let next = course[at + 1..].iter().position(|segment| segment.row.is_some());
    let end = next.map_or(course.len(), |next| at + 1 + next);
    let spread: Vec<usize> = (at + 1..end).filter(|place| course[*place].changes_bath()).collect();
    if spread.is_empty() { vec![at] } else { spread }
}

/// Adds litres of a solution to what is written, or takes them off, at most what there is; gives what was done, L.
fn moved(additions: &mut Vec<(usize, f64)>, solution: usize, litres: f64) -> f64 {
    if litres >= 0.0 {
        additions.push((solution, litres));
        return litres;
    }
    let mut left = -litres;
    for (_, written) in additions.iter_mut().filter(|(which, _)| *which == solution) {
        let taken = left.min(*written);
        *written -= taken;
        left -= taken;
    }
    litres + left
}
