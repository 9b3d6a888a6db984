//! A sheet of runs or a log, and what is wrong with it.

use bathkin_numerics::short;
use thiserror::Error;

use bathkin_statistics::error::FitError;

/// Runs or the rows of a log by columns; an empty cell is `None`. Names carry their units. What columns
/// mean stands in [`Data`](crate::objective::question::Data).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// Where they come from, for messages.
    pub file: String,
    /// Number of each row as its author counts.
    pub rows: Vec<usize>,
    /// Columns, each as long as `rows`.
    pub columns: Vec<(String, Vec<Option<f64>>)>,
    /// Columns of words, each as long as `rows`: they may tell which runs belong together.
    pub labels: Vec<(String, Vec<String>)>,
    /// When the first row of a log was written, seconds since 1970-01-01 00:00; none where times are hours alone.
    pub start_s: Option<f64>,
}

/// Why data cannot be fitted.
#[derive(Debug, Clone, Error)]
pub enum DataError {
    /// A cell cannot be used.
    #[error("{file}: row {row}, {column} = {raw}: expected {expected}")]
    Cell {
        /// File.
        file: String,
        /// Row.
        row: usize,
        /// Column.
        column: String,
        /// What stands there.
        raw: String,
        /// What would have been accepted.
        expected: String,
    },
    /// A column is missing or of no use.
    #[error("{file}: {what}")]
    Column {
        /// File.
        file: String,
        /// Which, and why.
        what: String,
    },
    /// The recipe cannot be used, or not at this row.
    #[error("{place}{error}")]
    Recipe {
        /// File and row, or nothing.
        place: String,
        /// Why.
        error: bathkin::Error,
    },
    /// The model misses the data, and what it predicts would be wrong beyond its spread.
    #[error(
        "{0}. What this fit predicts is wrong by more than its spread: mend recipe or data, or ask for it with despite_misfit"
    )]
    Misfit(String),
    /// The statistics refuse.
    #[error(transparent)]
    Fit(#[from] FitError),
}

impl From<bathkin::Error> for DataError {
    fn from(error: bathkin::Error) -> Self {
        DataError::Recipe { place: String::new(), error }
    }
}

/// How a limit of detection of what was measured is named.
pub(crate) const BELOW: &str = "below_";

impl Sheet {
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

    /// Refuses a column or the whole table.
    pub(crate) fn refuse_column(&self, what: impl Into<String>) -> DataError {
        DataError::Column { file: self.file.clone(), what: what.into() }
    }

    /// Refuses columns: one as it is, several together.
    pub(crate) fn refuse_all(&self, mut wrong: Vec<DataError>) -> Result<(), DataError> {
        if wrong.len() > 1 {
            let plain = |error: &DataError| {
                let text = error.to_string();
                text.strip_prefix(&format!("{}: ", self.file)).unwrap_or(&text).to_owned()
            };
            let told: Vec<String> = wrong.iter().map(plain).collect();
            let what = format!("{} columns cannot be used:\n  {}", wrong.len(), told.join("\n  "));
            return Err(self.refuse_column(what));
        }
        wrong.pop().map_or(Ok(()), Err)
    }

    /// Checks names and lengths, and that every number is one.
    pub(crate) fn check(&self) -> Result<(), DataError> {
        for (place, (name, cells)) in self.columns.iter().enumerate() {
            if self.columns[..place].iter().any(|(known, _)| known == name) {
                return Err(self.refuse_column(format!("{name} is given twice")));
            }
            if cells.len() != self.rows.len() {
                let what = format!("{name} has {} rows of {}", cells.len(), self.rows.len());
                return Err(self.refuse_column(what));
            }
            for (row, value) in cells.iter().enumerate() {
                if value.is_some_and(|value| !value.is_finite()) {
                    return Err(self.refuse(row, name, "a finite number"));
                }
            }
        }
        Ok(())
    }
}
