//! Columns of a sheet of runs.

use bathkin::tank::Quantity;

use crate::data::sheet::BELOW;
use crate::data::sheet::Sheet;
use crate::error::DataError;

/// Name of the column of times in the bath, min.
pub const TIME: &str = "time_min";
/// Name of the column of areas, cm².
pub const AREA: &str = "area_cm2";
/// Name of the column of standard deviations, in the unit of what was measured.
pub const SIGMA: &str = "sigma";

impl Sheet {
    /// Columns that set something in the recipe.
    pub(crate) fn settings(&self) -> impl Iterator<Item = &str> {
        let known = |name: &str| {
            let measured = name.strip_prefix(BELOW).unwrap_or(name);
            [TIME, AREA, SIGMA].contains(&name) || Quantity::of_coupon(measured).is_some()
        };
        self.columns.iter().map(|(name, _)| name.as_str()).filter(move |name| !known(name))
    }

    /// Checks lengths, and that times, areas and sigmas are above zero.
    pub(crate) fn check_runs(&self) -> Result<(), DataError> {
        self.check()?;
        for column in [TIME, AREA, SIGMA] {
            for row in 0..self.rows.len() {
                if self.cell(column, row).is_some_and(|value| value <= 0.0) {
                    let log = if column == TIME { ": a bath log is read as a log, not as runs" } else { "" };
                    return Err(self.refuse(row, column, &format!("a number above zero{log}")));
                }
            }
        }
        Ok(())
    }

    /// What was measured in a row, and whether it is a limit that it is below; `None` where nothing was.
    pub(crate) fn observed(&self, row: usize) -> Result<Option<(Quantity, f64, bool)>, DataError> {
        let mut found = None;
        for quantity in Quantity::of_coupons() {
            let Some((value, below)) = self.measured(quantity.own_name(), row)? else { continue };
            if found.is_some() {
                let expected = "one measured value in a row: leave the other column out or empty";
                return Err(self.refuse(row, quantity.own_name(), expected));
            }
            found = Some((quantity, value, below));
        }
        Ok(found)
    }
}
