//! What was measured beside what the fit makes of it, and how large errors are.

use schemars::JsonSchema;
use serde::Serialize;

use crate::data::error_model::ErrorModel;
use crate::result::solution::Solution;
use bathkin_statistics::Scale;

/// A measured value beside the calculated one.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured<'a> {
    /// Its column.
    pub column: &'a str,
    /// Its sheet.
    pub file: &'a str,
    /// Which of the sheets, from zero.
    pub sheet: usize,
    /// Number of its row as the author counts.
    pub row: usize,
    /// The value, or the limit of detection that it was below.
    pub observed: f64,
    /// Whether it was.
    pub below: bool,
    /// What the fit gives.
    pub calculated: f64,
    /// (observed - calculated)/sigma, or ln(observed/calculated)/sigma for relative errors.
    pub residual: f64,
    /// Residual over its own standard deviation; `None` where the value is met whatever it says.
    pub standardised_residual: Option<f64>,
    /// Share of the value in its own calculated one, 0-1.
    pub leverage: f64,
}

/// All measured values beside the calculated ones, by columns.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct MeasuredColumns {
    /// The column of each.
    pub column: Vec<String>,
    /// Its sheet.
    pub file: Vec<String>,
    /// Number of its row as the author counts.
    pub row: Vec<usize>,
    /// The value, or the limit of detection that it was below.
    pub observed: Vec<f64>,
    /// Whether it was.
    pub below: Vec<bool>,
    /// What the fit gives.
    pub calculated: Vec<f64>,
    /// (observed - calculated)/sigma, or ln(observed/calculated)/sigma for relative errors.
    pub residual: Vec<f64>,
    /// Residual over its own standard deviation; not a number where the value is met whatever it says.
    pub standardised_residual: Vec<f64>,
    /// Share of the value in its own calculated one, 0-1.
    pub leverage: Vec<f64>,
}

impl MeasuredColumns {
    fn of(rows: &[Measured<'_>]) -> Self {
        let numbers = |of: fn(&Measured<'_>) -> f64| rows.iter().map(of).collect();
        MeasuredColumns {
            column: rows.iter().map(|row| row.column.to_owned()).collect(),
            file: rows.iter().map(|row| row.file.to_owned()).collect(),
            row: rows.iter().map(|row| row.row).collect(),
            observed: numbers(|row| row.observed),
            below: rows.iter().map(|row| row.below).collect(),
            calculated: numbers(|row| row.calculated),
            residual: numbers(|row| row.residual),
            standardised_residual: numbers(|row| row.standardised_residual.unwrap_or(f64::NAN)),
            leverage: numbers(|row| row.leverage),
        }
    }
}

/// Errors of a column as the fit takes them. As stated, times the size estimated from the residuals.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ColumnErrors<'a> {
    /// The column.
    pub column: &'a str,
    /// How many values it has.
    pub values: usize,
    /// Errors as stated.
    pub stated: ErrorModel,
    /// Whether every value has a standard deviation of its own in place of that.
    pub own_sigmas: bool,
    /// Times so much; one where they are absolute.
    pub size: f64,
    /// Standard deviation of every value (at zero, for mixed errors), in the unit of the column; `None` where
    /// each has its own.
    pub absolute_sigma: Option<f64>,
    /// Relative standard deviation.
    pub relative_sigma: Option<f64>,
}

impl Solution {
    /// Every measured value, in the order of the sheets.
    pub fn measured(&self) -> Vec<Measured<'_>> {
        let influence = self.influence();
        let rows = self.model.rows.iter().zip(&self.calculated).zip(self.residuals());
        rows.zip(&influence)
            .map(|(((row, calculated), residual), influence)| Measured {
                column: &self.model.columns[row.column].name,
                file: &self.data[row.sheet].sheet().file,
                sheet: row.sheet,
                row: row.row,
                observed: row.observed.value,
                below: row.observed.below,
                calculated: *calculated,
                // Residuals of the solver are calculated less observed.
                residual: -residual,
                standardised_residual: influence.standardised_residual.map(|residual| -residual),
                leverage: influence.leverage,
            })
            .collect()
    }

    /// The same by columns.
    pub fn measured_columns(&self) -> MeasuredColumns {
        MeasuredColumns::of(&self.measured())
    }

    /// Errors of every column.
    pub fn column_errors(&self) -> Vec<ColumnErrors<'_>> {
        let common = match self.fit.options.scale {
            Scale::Estimated => self.fit.variance.map_or(1.0, f64::sqrt),
            Scale::Known => 1.0,
        };
        let of = |(place, column): (usize, &crate::data::rows::Column)| {
            let size = column.size * common;
            let own_sigmas = self.model.has_own_sigmas(place);
            let (absolute, relative) = match column.errors {
                _ if own_sigmas => (None, None),
                ErrorModel::Absolute { sigma } => (Some(sigma), None),
                ErrorModel::Relative { sigma } => (None, Some(sigma)),
                ErrorModel::Mixed { absolute, relative } => (Some(absolute), Some(relative)),
            };
            ColumnErrors {
                column: self.model.columns[place].name.as_str(),
                values: self.model.rows.iter().filter(|row| row.column == place).count(),
                stated: column.errors,
                own_sigmas,
                size,
                absolute_sigma: absolute.map(|sigma| sigma * size),
                relative_sigma: relative.map(|sigma| sigma * size),
            }
        };
        self.model.columns.iter().enumerate().map(of).collect()
    }
}
