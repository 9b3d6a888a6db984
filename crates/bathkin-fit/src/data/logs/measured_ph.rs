//! The pH of a log as the course of the bath: `[log] ph = "as measured"`.

use bathkin::life::LoggedSegment;
use bathkin::model::{Model, PhReadings};
use bathkin::tank::quantity::UsualError;
use bathkin::tank::{PH, PhLine, Quantity};

use crate::data::logs::columns::{Meaning, Reading, sigma};
use crate::data::logs::log_doubt::LogDoubt;
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};

/// Rows with a pH that a course needs.
const FEWEST: usize = 2;
/// A reading further off what the bath is run at is a slip: nobody runs a bath there (estimated).
const MOST_OFF: f64 = 2.0;
const SCALE: std::ops::RangeInclusive<f64> = 0.0..=14.0;

/// The measured pH of a log.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct MeasuredPh {
    /// Row of each reading, in order.
    rows: Vec<usize>,
    /// Standard deviation of each.
    sigmas: Vec<f64>,
    /// What each row has as added of the pH corrector, L; none where the log has no column for it.
    pub logged_l: Option<Vec<f64>>,
    /// Readings that are no part of the course.
    pub doubts: Vec<LogDoubt>,
}

impl MeasuredPh {
    /// Standard deviation of the first reading.
    pub fn first_sigma(&self) -> f64 {
        self.sigmas[0]
    }

    /// Standard deviation of the reading that the bath goes to from a row, or else of the last one.
    pub fn sigma_after(&self, row: usize) -> f64 {
        let next = self.rows.partition_point(|known| *known <= row).min(self.rows.len() - 1);
        self.sigmas[next]
    }
}

/// Whether a reading is one of the pH.
pub(crate) fn is_ph(reading: Reading) -> bool {
    [Quantity::PH, Quantity::PH_25C].contains(&reading.quantity)
}

/// Lets a course follow the pH that its rows have: straight between neighbouring ones, the first before the first one, the
/// last after the last. A reading that no bath of the recipe stands at is left out, with a doubt. What is written as added of the pH corrector is no longer poured: what the pH takes has it. `None` where
/// the recipe does not say so. A log with `ph` follows that; one with `ph_25c` alone, that.
pub(crate) fn measured_ph(
    model: &Model,
    log: &Sheet,
    meanings: &[Meaning],
    course: &mut [LoggedSegment],
    wrong: &mut Vec<DataError>,
) -> Option<MeasuredPh> {
    if model.log.ph == PhReadings::Compared {
        return None;
    }
    let of = |quantity: Quantity| {
        log.columns.iter().zip(meanings).find_map(|((name, _), meaning)| match meaning {
            Meaning::Reading(reading) if reading.quantity == quantity => Some((name.as_str(), quantity)),
            _ => None,
        })
    };
    let Some((column, quantity)) = of(Quantity::PH).or_else(|| of(Quantity::PH_25C)) else {
        wrong.push(log.problem(SheetProblem::NoPhToFollow { column: None, rows: 0, not_followed: None }));
        return None;
    };
    let ends_s: Vec<f64> = course.iter().filter(|one| one.row.is_some()).map(|one| one.until_s).collect();
    let read: Vec<(usize, f64)> =
        (0..log.rows.len()).filter_map(|row| Some((row, log.cell(column, row)?))).collect();
    for (row, _) in read.iter().filter(|(_, ph)| !SCALE.contains(ph)) {
        wrong.push(log.refuse(*row, column, "a pH between 0 and 14"));
    }
    let run_at = model.tank.operation.set_points.ph;
    let (read, far): (Vec<_>, Vec<_>) = read.into_iter().partition(|(_, ph)| (ph - run_at).abs() <= MOST_OFF);
    let doubt = |(row, ph): (usize, f64)| LogDoubt::PhNotFollowed {
        row: log.rows[row],
        column: column.to_owned(),
        ph,
        most: MOST_OFF,
        run_at,
    };
    let doubts: Vec<LogDoubt> = far.into_iter().map(doubt).collect();
    if read.len() < FEWEST {
        let column = Some(column.to_owned());
        let not_followed = doubts.first().map(LogDoubt::to_string);
        wrong.push(log.problem(SheetProblem::NoPhToFollow { column, rows: read.len(), not_followed }));
        return None;
    }
    let points: Vec<(f64, f64)> =
        read.iter().filter_map(|(row, ph)| Some((*ends_s.get(*row)?, *ph))).collect();
    // Rows whose times are wrong have no course.
    let (first, last) = (*points.first()?, *points.last()?);
    let at_25c = quantity == Quantity::PH_25C;
    let mut since_s = 0.0;
    for segment in course.iter_mut() {
        let middle_s = 0.5 * (since_s + segment.until_s);
        let next = points.partition_point(|(at_s, _)| *at_s < middle_s);
        segment.ph = Some(match (next.checked_sub(1).and_then(|at| points.get(at)), points.get(next)) {
            (Some(from), Some(to)) => PhLine::between(*from, *to, at_25c),
            (None, _) => PhLine::between(first, first, at_25c),
            (_, None) => PhLine::between(last, last, at_25c),
        });
        since_s = segment.until_s;
    }
    let (UsualError::Absolute(usual, _) | UsualError::Relative(usual, _)) = quantity.entry().error;
    Some(MeasuredPh {
        sigmas: read.iter().map(|(row, _)| sigma(log, column, *row).unwrap_or(usual)).collect(),
        rows: read.into_iter().map(|(row, _)| row).collect(),
        doubts,
        logged_l: take_corrector(log, meanings, course),
    })
}

/// Takes the pH corrector out of what a course pours; litres by rows, where the log has a column of it.
fn take_corrector(log: &Sheet, meanings: &[Meaning], course: &mut [LoggedSegment]) -> Option<Vec<f64>> {
    let of_corrector = |solution: usize| solution == PH;
    let mut rows = vec![0.0; log.rows.len()];
    let mut row = 0;
    for segment in course {
        let litres: f64 =
            segment.additions.iter().filter(|(which, _)| of_corrector(*which)).map(|(_, l)| l).sum();
        segment.additions.retain(|(which, _)| !of_corrector(*which));
        if let Some(sum) = rows.get_mut(row) {
            *sum += litres;
        }
        row += usize::from(segment.row.is_some());
    }
    let has_column = meanings
        .iter()
        .any(|meaning| matches!(meaning, Meaning::Addition { solution, .. } if of_corrector(*solution)));
    has_column.then_some(rows)
}
