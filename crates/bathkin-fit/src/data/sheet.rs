//! A sheet of runs or a log.

use bathkin_numerics::short;

use crate::error::{DataError, SheetProblem};

/// Runs or the rows of a log by columns; an empty cell is `None`. Names carry their units. What columns
/// mean stands in [`Data`].
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// Where they come from, for messages.
    pub file: String,
    /// Number of each row as its author counts.
    pub rows: Vec<usize>,
    /// Columns, each as long as `rows`.
    pub columns: Vec<(String, Vec<Option<f64>>)>,
    /// Columns of words, each as long as `rows`: runs may be grouped by them.
    pub labels: Vec<(String, Vec<String>)>,
    /// When the first row of a log was written, seconds since 1970-01-01 00:00; none where times are hours alone.
    pub start_s: Option<f64>,
    /// What its reader doubts, in words.
    pub doubts: Vec<String>,
}

/// A sheet with what it is.
///
/// | data | columns |
/// | --- | --- |
/// | runs | `time_min`, `area_cm2`, `sigma`, one of `mass_gain_mg`, `thickness_um`, `deposition_um_h` or, where that was below a limit of detection, the limit in `below_<column>`; every other one sets the recipe: a path (`operation.ph`), the last word of one in `operation`, `make_up` or `tank` (`ph`), or what the bath holds (`nickel_g_l`, `hypophosphite_mol_l`) |
/// | log | `time_h`; `temperature_c`; since the row before `area_in_tank_dm2` (its mean), or `area_dm2` with `plating_min` of that time or `thickness_um`, or neither and the racks of the recipe; readings (`ph`, `nickel_g_l`, `orthophosphite_mol_l`, `deposition_um_h` ...), `sigma_<reading>`, `below_<reading>` (a limit of detection where the reading is empty); what was added after them (`metal_l`, `reductant_ml_l`, `water_l` ...), and taken out before that (`removed_l`) |
#[derive(Debug, Clone, PartialEq)]
pub enum Data {
    /// Coupon runs.
    Runs(Sheet),
    /// A bath log.
    Log(Sheet),
}

impl Data {
    /// The sheet.
    pub fn sheet(&self) -> &Sheet {
        match self {
            Data::Runs(sheet) | Data::Log(sheet) => sheet,
        }
    }
}

/// How a limit of detection of what was measured is named.
pub(crate) const BELOW: &str = "below_";

impl Sheet {
    /// Names of the columns.
    pub(crate) fn names(&self) -> Vec<String> {
        self.columns.iter().map(|(name, _)| name.clone()).collect()
    }

    /// A column, if it is there.
    pub fn column(&self, name: &str) -> Option<&[Option<f64>]> {
        self.columns.iter().find(|(known, _)| known == name).map(|(_, cells)| cells.as_slice())
    }

    /// A cell, if it is there and not empty.
    pub(crate) fn cell(&self, name: &str, row: usize) -> Option<f64> {
        self.column(name).and_then(|cells| cells.get(row).copied().flatten())
    }

    /// What was measured in a row of a column, or the limit it is below; whether it is that.
    ///
    /// # Errors
    /// A cell that has both, or a limit that is not above zero.
    pub(crate) fn measured(&self, column: &str, row: usize) -> Result<Option<(f64, bool)>, DataError> {
        let limit = format!("{BELOW}{column}");
        match (self.cell(column, row), self.cell(&limit, row)) {
            (Some(_), Some(_)) => Err(self.refuse(
                row,
                &limit,
                &format!("nothing, or {column} empty: it is a value or below a limit"),
            )),
            (_, Some(below)) if below <= 0.0 => Err(self.refuse(row, &limit, "a number above zero")),
            (None, Some(below)) => Ok(Some((below, true))),
            (value, None) => Ok(value.map(|value| (value, false))),
        }
    }

    /// The label of a row in a column of words or numbers; `run` has one for each row, `data` one for all.
    pub(crate) fn label(&self, column: &str, row: usize) -> Option<String> {
        match column {
            "run" => Some(self.rows[row].to_string()),
            "data" => Some(self.file.clone()),
            _ => {
                let words = self.labels.iter().find(|(known, _)| known == column);
                let word = words.and_then(|(_, cells)| cells.get(row)).filter(|word| !word.is_empty());
                word.cloned().or_else(|| self.cell(column, row).map(|number| number.to_string()))
            }
        }
    }

    /// Refuses a cell.
    pub(crate) fn refuse(&self, row: usize, column: &str, expected: &str) -> DataError {
        let raw = self.cell(column, row).map_or("(empty)".to_owned(), short);
        DataError::Cell {
            file: self.file.clone(),
            row: self.rows[row],
            column: column.to_owned(),
            raw,
            expected: expected.to_owned(),
        }
    }

    /// Refuses a column or the whole sheet.
    pub(crate) fn problem(&self, problem: SheetProblem) -> DataError {
        DataError::Sheet { file: self.file.clone(), problem }
    }

    /// Refuses columns and cells: one as it is, several together.
    pub(crate) fn refuse_all(&self, mut wrong: Vec<DataError>) -> Result<(), DataError> {
        match wrong.len() {
            0 | 1 => wrong.pop().map_or(Ok(()), Err),
            _ => Err(self.problem(SheetProblem::Several(wrong))),
        }
    }

    /// Checks names and lengths, and that every number is one.
    pub(crate) fn check(&self) -> Result<(), DataError> {
        let mut wrong = Vec::new();
        for (place, (name, cells)) in self.columns.iter().enumerate() {
            if self.columns[..place].iter().any(|(known, _)| known == name) {
                wrong.push(self.problem(SheetProblem::Twice { column: name.clone() }));
            }
            if cells.len() != self.rows.len() {
                let (column, cells) = (name.clone(), cells.len());
                wrong.push(self.problem(SheetProblem::Length { column, cells, rows: self.rows.len() }));
                continue;
            }
            for (row, value) in cells.iter().enumerate() {
                if value.is_some_and(|value| !value.is_finite()) {
                    wrong.push(self.refuse(row, name, "a finite number"));
                }
            }
        }
        self.refuse_all(wrong)
    }
}
