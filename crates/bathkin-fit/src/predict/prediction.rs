//! What a further run would show, and how sure that is.

use std::sync::Arc;

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::flag::Flag;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use crate::data::cases::{Case, Coupon, Kind};
use crate::data::error_model::Observation;
use crate::data::rows::Column;
use crate::data::runs::{AREA, Setting, TIME, reach_ph, settings};
use crate::data::sheet::Sheet;
use crate::error::{DataError, RequestProblem};
use crate::predict::held::{HeldNumber, by_strength, held_by};
use crate::result::solution::Solution;
use bathkin::tank::Quantity;
use bathkin_statistics::bands::band;

/// Number of a case that no sheet has: what is grouped by labels has no say in it.
pub(crate) const OF_NO_TABLE: usize = usize::MAX;

/// What a run would show, with both bands.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Prediction {
    /// `deposition_um_h`, or `thickness_um` for a run with a time.
    pub quantity: &'static str,
    /// Calculated value.
    pub value: f64,
    /// Where the true mean lies.
    pub confidence: [f64; 2],
    /// Where one further run lies; `None` where every run has a sigma of its own, or
    /// nothing of the kind was measured.
    pub prediction: Option<[f64; 2]>,
    /// Settings that the data never varied, or not so far: what they do is the recipe's, and in neither band.
    pub flags: Vec<Flag>,
    /// Numbers that were never fitted and are invented or widely uncertain, with the per cent by which ten per cent
    /// more of each changes the value, the strongest first; those that do not change it are left out.
    pub held_numbers: Vec<HeldNumber>,
}

/// A calculated value with its derivatives, on the scale of its errors.
pub(crate) struct Slope {
    pub quantity: Quantity,
    pub value: f64,
    /// The value, or its logarithm.
    pub middle: f64,
    /// Its derivatives by the solver's numbers.
    pub gradient: Vec<f64>,
    /// Whether `middle` is the logarithm.
    pub log: bool,
}

impl Solution {
    /// What a run under these settings (names as in the table of runs) would show, with 95 % bands.
    /// `time_min` and `area_cm2` are settings too: without a time the rate is shown.
    ///
    /// # Errors
    /// [`DataError`]: a setting that is not known, a recipe that does not take it, or a value that
    /// depends on what the runs do not determine.
    pub fn predict(&self, given: &[(String, f64)]) -> Result<Prediction, DataError> {
        let Slope { quantity, value, middle, gradient, log } = self.slope(given)?;
        let sigma = self.sigma_of(quantity.own_name(), value);
        let fit = self.with_quantile(&gradient, self.fit.options.level);
        let bands = band(&fit, middle, &gradient, sigma.unwrap_or(0.0))?;
        let back = |ends: [f64; 2]| if log { ends.map(f64::exp) } else { ends };
        Ok(Prediction {
            quantity: quantity.own_name(),
            value,
            confidence: back(bands.confidence),
            prediction: sigma.map(|_| back(bands.prediction)),
            flags: self.unvaried(given)?,
            held_numbers: self.moved(given, value)?,
        })
    }

    /// The same for many runs, each with its settings, in order.
    ///
    /// # Errors
    /// As [`Solution::predict`], of the first row that is refused, counted from 1.
    pub fn predict_rows(&self, rows: &[Vec<(String, f64)>]) -> Result<Vec<Prediction>, DataError> {
        let one = |(place, given): (usize, &Vec<(String, f64)>)| {
            self.predict(given).map_err(|error| of_row(error, place + 1))
        };
        let found: Vec<Result<Prediction, DataError>> = rows.par_iter().enumerate().map(one).collect();
        found.into_iter().collect()
    }

    /// What ten per cent more of each number that is held does to a value, in per cent of it.
    fn moved(&self, given: &[(String, f64)], value: f64) -> Result<Vec<HeldNumber>, DataError> {
        // Per cent; less does not matter.
        const LEAST: f64 = 0.05;
        let mut found = Vec::new();
        for mut one in held_by(&self.recipe, self) {
            let (case, _) = coupon(&one.more(&self.recipe), given)?;
            let other = self.model.values_of(OF_NO_TABLE, &case, self.fit.values()).ok();
            one.moved = other.and_then(|other| other.first().map(|other| 100.0 * (other / value - 1.0)));
            if one.moved.is_none_or(|moved| moved.abs() >= LEAST) {
                found.push(one);
            }
        }
        Ok(by_strength(found))
    }

    /// What a coupon under these settings would show, with its slopes by the numbers of the fit.
    pub(crate) fn slope(&self, given: &[(String, f64)]) -> Result<Slope, DataError> {
        if let Some(grouped) = self.model.free.iter().find(|number| number.group.is_some()) {
            return Err(RequestProblem::OneOfSeveral { path: grouped.name.clone() }.into());
        }
        let (case, quantity) = self.coupon(given)?;
        let (value, slopes) = self.model.slopes_of(OF_NO_TABLE, &case, self.fit.values())?;
        let value = value.first().copied().unwrap_or(f64::NAN);
        let slopes: Vec<f64> = slopes.iter().map(|slopes| slopes.first().copied().unwrap_or(0.0)).collect();
        // On the scale of the errors: the logarithm for relative ones.
        let log = self.errors_of(quantity.own_name()).is_none_or(|column| column.errors.is_logarithmic());
        let (middle, gradient) = if log {
            (value.ln(), slopes.iter().map(|slope| slope / value).collect())
        } else {
            (value, slopes)
        };
        Ok(Slope { quantity, value, middle, gradient, log })
    }

    /// A coupon under these settings, and what is predicted of it.
    pub(crate) fn coupon(&self, given: &[(String, f64)]) -> Result<(Case, Quantity), DataError> {
        coupon(&self.recipe, given)
    }

    /// Standard deviation of one more value of a coupon, of its logarithm where errors are relative; `None`
    /// where nothing of the kind was measured, or every run has a sigma of its own. Where runs belong to groups it is one of a
    /// further group.
    pub(crate) fn sigma_of(&self, column: &str, value: f64) -> Option<f64> {
        let observed = Observation { value, sigma: None, below: false };
        self.errors_of(column)
            .filter(|column| {
                let place = self.model.columns.iter().position(|known| known.name == column.name);
                !place.is_some_and(|place| self.model.has_own_sigmas(place))
            })
            .map(|column| (column.size * column.errors.sigma(observed)).hypot(self.between_in_sizes()))
    }

    /// Standard deviation of a further group on the scale of the errors, in units of s.
    fn between_in_sizes(&self) -> f64 {
        let Some(mixed) = &self.mixed else { return 0.0 };
        let levels = 0..mixed.grouping().levels().len();
        levels.map(|level| mixed.between(level) / mixed.within()).sum::<f64>().sqrt()
    }

    /// The column whose errors a coupon's value has: its own one, else the only column of coupons.
    fn errors_of(&self, column: &str) -> Option<&Column> {
        let columns = || self.model.columns.iter().filter(|known| Quantity::of_coupon(&known.name).is_some());
        let own = columns().find(|known| known.name == column);
        // A relative error means the same for thickness, mass and rate.
        own.or_else(|| columns().find(|known| known.errors.is_logarithmic()))
    }
}

/// An error of a run with the number of its row.
fn of_row(error: DataError, row: usize) -> DataError {
    match error {
        DataError::Cell { file, column, raw, expected, .. } => {
            DataError::Cell { file, row, column, raw, expected }
        }
        DataError::Recipe { error, .. } => {
            DataError::Recipe { place: format!("predict: row {row}: "), error }
        }
        other => other,
    }
}

/// A coupon of a recipe under these settings, and what is predicted of it.
fn coupon(recipe: &Recipe, given: &[(String, f64)]) -> Result<(Case, Quantity), DataError> {
    let sheet = Sheet {
        file: "predict".to_owned(),
        rows: vec![1],
        columns: given.iter().map(|(name, value)| (name.clone(), vec![Some(*value)])).collect(),
        ..Sheet::default()
    };
    sheet.check_runs()?;
    let set = |recipe: Recipe, setting: Setting| {
        let value = sheet.cell(&setting.column, 0).unwrap_or(f64::NAN);
        recipe.with(&setting.path, Value::Number(value * setting.factor), "predict")
    };
    let changed = settings(recipe, &sheet, &[])?.into_iter().fold(recipe.clone(), set);
    let (recipe, ph_by) = reach_ph(recipe, changed, &sheet.file);
    let (minutes, area_m2) = (sheet.cell(TIME, 0), sheet.cell(AREA, 0).map(|cm2| cm2 * 1e-4));
    let quantity = if minutes.is_some() { Quantity::THICKNESS_UM } else { Quantity::DEPOSITION_UM_H };
    let kind = Kind::Coupon(Coupon { recipe, minutes, area_m2, quantity, ph_by, fresh: Arc::default() });
    Ok((Case { kind, labels: Vec::new(), place: sheet.file.clone() }, quantity))
}
