//! Acting on findings: additions nobody wrote down put in, slips put right.

use bathkin::Recipe;
use bathkin::tank::METAL;

use crate::data::sheet::Sheet;
use crate::error::{DataError, RequestProblem};
use crate::format::number;
use crate::track::finding::Finding;
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
        matches!(finding.code, "unlogged_addition" | "forgotten_dose" | "less_added" | "outlying_reading")
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
        if finding.code == "outlying_reading" {
            let place =
                log.readings.iter().position(|one| one.row == *row && log.columns[one.column] == finding.of);
            let Some(place) = place else { continue };
            let file_row = log.rows[*row];
            told.push(match finding.meant {
                Some(meant) => {
                    log.readings[place].value = meant;
                    format!("row {file_row}: {} taken as {}", finding.of, number(meant, 4))
                }
                None => {
                    log.readings.remove(place);
                    format!("row {file_row}: {} left out", finding.of)
                }
            });
            continue;
        }
        let litres = finding.size.unwrap_or(0.0);
        let written: Vec<f64> = (0..tank.operation.replenishers.len())
            .map(|solution| {
                let of = log.bath.course.iter().flat_map(|segment| &segment.additions);
                of.filter(|(which, _)| *which == solution).map(|(_, litres)| litres).sum()
            })
            .collect();
        let Some(segment) = log.bath.course.iter_mut().find(|segment| segment.row == Some(*row)) else {
            continue;
        };
        if finding.code == "forgotten_dose" {
            for (solution, sum) in written.iter().enumerate().filter(|(_, sum)| **sum > 0.0) {
                segment.additions.push((solution, litres * sum / written[METAL]));
            }
        } else if let Some(solution) =
            tank.operation.replenishers.iter().position(|replenisher| replenisher.name == finding.of)
        {
            segment.additions.push((solution, litres));
        }
        told.push(format!("row {}: {} L of {} put in", log.rows[*row], number(litres, 2), finding.of));
    }
    Ok(told)
}
