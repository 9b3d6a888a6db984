//! The table of runs, and what is wrong with it.

use thiserror::Error;

use crate::error::FitError;

/// What was measured on a coupon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Mass gained, mg; needs an area and a time.
    MassGainMg,
    /// Thickness, um; needs a time.
    ThicknessUm,
    /// Rate, um/h.
    DepositionUmH,
}

impl Quantity {
    /// All, in the order in which a table is searched for them.
    pub const ALL: [Quantity; 3] = [Quantity::MassGainMg, Quantity::ThicknessUm, Quantity::DepositionUmH];

    /// Name of its column.
    pub fn column(self) -> &'static str {
        match self {
            Quantity::MassGainMg => "mass_gain_mg",
            Quantity::ThicknessUm => "thickness_um",
            Quantity::DepositionUmH => "deposition_um_h",
        }
    }
}

/// Name of the column of times in the bath, min.
pub const TIME: &str = "time_min";
/// Name of the column of areas, cm².
pub const AREA: &str = "area_cm2";
/// Name of the column of standard deviations, in the unit of what was measured.
pub const SIGMA: &str = "sigma";

/// Runs by columns; an empty cell is `None`. Names carry their units.
///
/// `time_min`, `area_cm2`, `sigma`, one or more of `mass_gain_mg`, `thickness_um` and `deposition_um_h`;
/// every other column is a setting of the recipe: a path (`operation.ph`), the last word of one in
/// `operation`, `make_up` or `tank` (`ph`), or what the bath holds (`nickel_g_l`, `hypophosphite_mol_l`).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Runs {
    /// Where they come from, for messages.
    pub file: String,
    /// Number of each row as its author counts.
    pub rows: Vec<usize>,
    /// Columns, each as long as `rows`.
    pub columns: Vec<(String, Vec<Option<f64>>)>,
}

/// Why runs cannot be fitted.
#[derive(Debug, Clone, Error)]
pub enum RunsError {
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
    /// The statistics refuse.
    #[error(transparent)]
    Fit(#[from] FitError),
}

impl From<bathkin::Error> for RunsError {
    fn from(error: bathkin::Error) -> Self {
        RunsError::Recipe { place: String::new(), error }
    }
}

impl Runs {
    /// A column, if it is there.
    pub fn column(&self, name: &str) -> Option<&[Option<f64>]> {
        self.columns.iter().find(|(known, _)| known == name).map(|(_, cells)| cells.as_slice())
    }

    /// A cell, if it is there and not empty.
    pub(super) fn cell(&self, name: &str, row: usize) -> Option<f64> {
        self.column(name).and_then(|cells| cells.get(row).copied().flatten())
    }

    /// Columns that set something in the recipe.
    pub(super) fn settings(&self) -> impl Iterator<Item = (&str, &[Option<f64>])> {
        let known = |name: &str| {
            [TIME, AREA, SIGMA].contains(&name) || Quantity::ALL.iter().any(|q| q.column() == name)
        };
        let columns = self.columns.iter().filter(move |(name, _)| !known(name));
        columns.map(|(name, cells)| (name.as_str(), cells.as_slice()))
    }

    /// Refuses a cell.
    pub(super) fn refuse(&self, row: usize, column: &str, expected: &str) -> RunsError {
        let raw = self.cell(column, row).map_or("(empty)".to_owned(), |value| value.to_string());
        RunsError::Cell {
            file: self.file.clone(),
            row: self.rows[row],
            column: column.to_owned(),
            raw,
            expected: expected.to_owned(),
        }
    }

    /// Refuses a column or the whole table.
    pub(super) fn refuse_column(&self, what: impl Into<String>) -> RunsError {
        RunsError::Column { file: self.file.clone(), what: what.into() }
    }

    /// Checks lengths, and that times, areas and sigmas are above zero.
    pub(super) fn check(&self) -> Result<(), RunsError> {
        for (name, cells) in &self.columns {
            if cells.len() != self.rows.len() {
                let what = format!("{name} has {} rows of {}", cells.len(), self.rows.len());
                return Err(self.refuse_column(what));
            }
            for (row, value) in cells.iter().enumerate() {
                if value.is_some_and(|value| !value.is_finite()) {
                    return Err(self.refuse(row, name, "a finite number"));
                }
                let positive = [TIME, AREA, SIGMA].contains(&name.as_str());
                if positive && value.is_some_and(|value| value <= 0.0) {
                    return Err(self.refuse(row, name, "a number above zero"));
                }
            }
        }
        Ok(())
    }

    /// What was measured in a row; `None` where nothing was.
    pub(super) fn observed(&self, row: usize) -> Result<Option<(Quantity, f64)>, RunsError> {
        let mut found = None;
        for quantity in Quantity::ALL {
            let Some(value) = self.cell(quantity.column(), row) else { continue };
            if found.is_some() {
                let expected = "one measured value in a row: leave the other column out or empty";
                return Err(self.refuse(row, quantity.column(), expected));
            }
            found = Some((quantity, value));
        }
        Ok(found)
    }
}
