//! What a fitted bath does between the rows of its log.

use crate::data::cases::Kind;
use crate::error::{DataError, RequestProblem};
use crate::objective::at_point::ModelAtPoint;
use crate::result::solution::Solution;

/// A bath along its log, before and after every addition.
#[derive(Debug, Clone, PartialEq)]
pub struct LogCourse {
    /// Times as the log counts, h.
    pub time_h: Vec<f64>,
    /// (column, values) of every reading of the log that holds at a moment: not of thicknesses, which
    /// gather from row to row.
    pub columns: Vec<(String, Vec<f64>)>,
}

impl Solution {
    /// The course of the bath of log number `sheet` at the estimates, at `points` times or a few more.
    ///
    /// # Errors
    /// [`DataError`] for a sheet that is no log, and where the simulation fails.
    pub fn course(&self, sheet: usize, points: usize) -> Result<LogCourse, DataError> {
        let no_log = || DataError::from(RequestProblem::NoLog { sheet, sheets: self.data.len() });
        let number = self.model.rows.iter().find(|row| row.sheet == sheet).map(|row| row.case);
        let (number, case) =
            number.and_then(|number| Some((number, self.model.cases.get(number)?))).ok_or_else(no_log)?;
        let Kind::Log(bath) = &case.kind else { return Err(no_log()) };
        let point = self.model.point(number, case, self.fit.values());
        let here = ModelAtPoint::of(bath.recipe.model()?).bath(&point.numbers)?;
        let (times_s, rows) = bath.course_of(&here, &point.starts, points)?;
        let first_h = self.data[sheet].sheet().cell(crate::data::logs::columns::TIME, 0).unwrap_or(0.0);
        let mut columns: Vec<(String, Vec<f64>)> = Vec::new();
        for row in self.model.rows.iter().filter(|row| row.case == number) {
            let name = &self.model.columns[row.column].name;
            let reading = bath.reading(row.value);
            if !reading.quantity.is_of_piece_alone() && columns.iter().all(|(known, _)| known != name) {
                columns.push((name.clone(), rows.iter().map(|row| reading.of(&here.tank, row)).collect()));
            }
        }
        Ok(LogCourse { time_h: times_s.into_iter().map(|time| first_h + time / 3600.0).collect(), columns })
    }
}
