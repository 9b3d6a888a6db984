//! Cases and measured values collected from several sheets.

use std::collections::HashMap;

use bathkin::tank::Quantity;
use bathkin::tank::quantity::UsualError;
use rayon::prelude::*;

use crate::data::cases::Case;
use crate::data::error_model::{ErrorModel, Observation};
use crate::data::rows::{Column, Row};
use crate::error::DataError;

/// What sheets have brought so far.
#[derive(Debug, Default)]
pub(crate) struct Collected {
    pub sheets: usize,
    pub cases: Vec<Case>,
    pub rows: Vec<Row>,
    pub columns: Vec<Column>,
    /// Error models by column, as asked for.
    pub asked: Vec<(String, ErrorModel)>,
    /// For columns of runs nobody asked about.
    pub otherwise: Option<ErrorModel>,
    /// Number of every sample, by its (sheet, row).
    pub samples: HashMap<(usize, usize), usize>,
}

impl Collected {
    /// Resolves every case's recipe.
    pub fn resolve_cases(&self) -> Result<(), DataError> {
        let resolved = |case: &Case| case.recipe().model().map(|_| ()).map_err(|error| case.refuse(error));
        let found: Vec<Result<(), DataError>> = self.cases.par_iter().map(resolved).collect();
        found.into_iter().collect()
    }

    /// Adds a measured value of a quantity: of (case, number of its value), from (sheet, row, its number).
    pub fn observe(
        &mut self,
        column: &str,
        quantity: Quantity,
        (case, value): (usize, usize),
        observed: Observation,
        from: (usize, usize, usize),
        refuse: &dyn Fn(&str) -> DataError,
    ) -> Result<(), DataError> {
        let errors = self.errors_of(column);
        let zero = errors.is_none_or(|errors| errors.takes_zero());
        if !zero && observed.value <= 0.0 {
            return Err(refuse("a number above zero, or the absolute error model"));
        }
        let place = self.columns.iter().position(|known| known.name == column).unwrap_or_else(|| {
            // The scale of a column without a model of its own is known when all of it is there.
            let errors = errors.unwrap_or(ErrorModel::Absolute { sigma: 1.0 });
            let usual = quantity.entry().error;
            self.columns.push(Column { name: column.to_owned(), errors, usual, size: 1.0 });
            self.columns.len() - 1
        });
        let next = self.samples.len();
        let sample = *self.samples.entry((from.0, from.1)).or_insert(next);
        let (sheet, at, row) = from;
        self.rows.push(Row { case, value, column: place, observed, sheet, place: at, row, sample });
        Ok(())
    }

    /// The error model of a column; `None` where it follows from the values.
    fn errors_of(&self, column: &str) -> Option<ErrorModel> {
        let asked = self.asked.iter().find(|(known, _)| known == column).map(|(_, errors)| *errors);
        let measured = Quantity::of_coupon(column).is_some();
        asked.or(self.otherwise.filter(|_| measured))
    }

    /// Columns that nobody gave an error model have what their analysis is usually good for; relative errors with
    /// a floor of half as much of the largest. Their size is estimated, unless the sigmas are absolute.
    pub fn settle_columns(&mut self) {
        const FLOOR: f64 = 0.5;
        for place in 0..self.columns.len() {
            if self.errors_of(&self.columns[place].name).is_some() {
                continue;
            }
            let of_column = self.rows.iter().filter(|row| row.column == place && !row.observed.below);
            let largest = of_column.map(|row| row.observed.value.abs()).fold(0.0, f64::max);
            self.columns[place].errors = match self.columns[place].usual {
                UsualError::Absolute(sigma, _) => ErrorModel::Absolute { sigma },
                UsualError::Relative(relative, _) => ErrorModel::Mixed {
                    absolute: FLOOR * relative * largest.max(f64::MIN_POSITIVE),
                    relative,
                },
            };
        }
    }
}
