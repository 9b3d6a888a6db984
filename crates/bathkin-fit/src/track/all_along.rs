//! What a whole log tells: additions that are off again and again, strengths, and readings that the model misses.

use bathkin_statistics::kalman::FilteredRow;

use crate::format::number;
use crate::track::finding::{FINDING, Finding, Grade, SETTLING};
use crate::track::followed::TrackedBath;
use crate::track::observed::ObservedLog;
use crate::track::unknown::Kind;

/// Alarms of one side that make a drift.
const DRIFT: usize = 3;

/// Several alarms of one solution on one side.
pub(crate) fn drifts(found: &[Finding]) -> Vec<Finding> {
    let mut drifts = Vec::new();
    for (code, side) in [("added_too_much", "unlogged_addition"), ("added_too_little", "less_added")] {
        let mut solutions: Vec<&String> =
            found.iter().filter(|one| one.code == side).map(|one| &one.of).collect();
        solutions.sort();
        solutions.dedup();
        for solution in solutions {
            let own: Vec<&Finding> =
                found.iter().filter(|one| one.code == side && one.of == *solution).collect();
            if own.len() < DRIFT {
                continue;
            }
            let total: f64 = own.iter().filter_map(|one| one.size).map(f64::abs).sum();
            let more = if code == "added_too_much" { "more" } else { "less" };
            drifts.push(Finding {
                code,
                // Looks alone come by chance in a long log.
                grade: if own.iter().filter(|one| one.grade == Grade::Finding).count() > 1 {
                    Grade::Finding
                } else {
                    Grade::Look
                },
                row: None,
                at_h: None,
                date: None,
                of: solution.clone(),
                size: Some(total),
                size_sd: None,
                score: own.iter().map(|one| one.score.abs()).sum::<f64>() / (own.len() as f64).sqrt(),
                meant: None,
                text: format!(
                    "{} rows have {more} of {solution} than written, {} L together: check the pump, the jug or the strength",
                    own.len(),
                    number(total, 2)
                ),
            });
        }
    }
    drifts
}

/// Strengths that the log tells to be off.
pub(crate) fn strengths(bath: &TrackedBath, rows: &[FilteredRow]) -> Vec<Finding> {
    let Some(last) = rows.last() else { return Vec::new() };
    let mut found = Vec::new();
    for (at, unknown) in bath.unknowns.iter().enumerate() {
        let Kind::Strength(solution) = unknown.kind else { continue };
        let place = bath.coordinates.len() + at;
        let (mean, sd) = (last.belief.mean[place], last.belief.standard_deviation(place));
        // A log that leaves the strength nearly as unknown as before cannot tell it from drag-out.
        if sd > 0.5 * unknown.prior || mean.abs() < FINDING * unknown.prior {
            continue;
        }
        let name = &bath.tank.operation.replenishers[solution].name;
        found.push(Finding {
            code: "strength",
            grade: Grade::Finding,
            row: None,
            at_h: None,
            date: None,
            of: name.clone(),
            size: Some(mean),
            size_sd: Some(sd),
            score: mean / unknown.prior,
            meant: None,
            text: format!(
                "{name} brings {} % ({} to {}) of what the recipe says: check what is in the drum",
                number(100.0 * mean.exp(), 1),
                number(100.0 * (mean - 2.0 * sd).exp(), 1),
                number(100.0 * (mean + 2.0 * sd).exp(), 1)
            ),
        });
    }
    found
}

/// Columns that the model misses: their innovations are far larger than expected all along.
pub(crate) fn misses(log: &ObservedLog, rows: &[FilteredRow]) -> Vec<Finding> {
    const FEWEST: usize = 8;
    const TIMES: f64 = 2.0;
    let mut found = Vec::new();
    for (column, (name, (words, _))) in log.columns.iter().zip(&log.words).enumerate() {
        let mut sizes: Vec<f64> = rows
            .iter()
            .skip(SETTLING)
            .flat_map(|row| &row.readings)
            .filter(|one| one.channel == column)
            .map(|one| one.standardised.abs())
            .collect();
        sizes.sort_by(f64::total_cmp);
        // Half of all normal deviates are below 0.6745.
        let Some(middle) = sizes.get(sizes.len() / 2).map(|size| log.scatter[column] * size / 0.6745) else {
            continue;
        };
        if sizes.len() < FEWEST || middle < TIMES {
            continue;
        }
        found.push(Finding {
            code: "model_misses",
            grade: Grade::Finding,
            row: None,
            at_h: None,
            date: None,
            of: name.clone(),
            size: None,
            size_sd: None,
            score: middle,
            meant: None,
            text: format!(
                "{words} scatters {} times as far about the model as expected: the recipe misses this bath there, and what \
                 hangs on it is uncertain",
                number(middle, 1)
            ),
        });
    }
    found
}
