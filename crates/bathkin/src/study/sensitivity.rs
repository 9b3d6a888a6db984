//! Sensitivity of the dump time to each number of a recipe.

use std::sync::Arc;

use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use crate::document::{Entry, Value};
use crate::error::{Error, Place, Result};
use crate::life::{Life, Verdict};
use crate::recipe::Recipe;

/// Relative step of each number, to both sides.
pub const STEP: f64 = 0.01;
/// How the dump answers to one number.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Sensitivity {
    /// Path of the number.
    pub path: String,
    /// Its value in the recipe.
    pub value: f64,
    /// Values the life was run at, low and high; one of them the recipe's own where the other side failed.
    pub ran_at: (f64, f64),
    /// d ln(turnovers) / d ln(value), turnovers by metal plated, which doses do not round.
    pub turnovers: f64,
    /// d ln(plating hours) / d ln(value).
    pub plating_h: f64,
    /// d ln(clock hours) / d ln(value); nights and weekends make it jump.
    pub clock_h: f64,
    /// d ln(area plated) / d ln(value).
    pub area_m2: f64,
    /// The limit that ends the life on the low and on the high side.
    pub limits: (String, String),
    /// Whether the first limit is another one somewhere within the step: then the slope is that of a corner.
    pub limit_changes: bool,
}

/// How a life answers to the numbers of its recipe.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct LifeSensitivity {
    /// The life as the recipe has it.
    pub base: Verdict,
    /// Relative step to both sides.
    pub step: f64,
    /// A row per number, the one that moves the turnovers most first.
    pub rows: Vec<Sensitivity>,
    /// Numbers left out, and why.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, String>")]
    pub skipped: Vec<(String, String)>,
}

impl Recipe {
    /// Central differences of the logarithms of the dump's turnovers and times, by the logarithm of each
    /// number at `paths`, or of every number that a shop or a chemist can move.
    ///
    /// Both neighbours at one per cent are whole lives, run in parallel. A number at zero has no relative
    /// change and is listed as skipped, as is one whose lives fail on both sides.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for a path that holds no number; as [`Recipe::simulate_life`] for the life as
    /// the recipe has it.
    pub fn life_sensitivity(&self, paths: Option<&[String]>) -> Result<LifeSensitivity> {
        let base = self.simulate_life()?.verdict;
        let numbers = self.numbers_at(paths)?;
        let mut skipped = Vec::new();
        let mut moved = Vec::new();
        for (path, value) in numbers {
            if value == 0.0 {
                skipped.push((path, "is zero, which has no relative change".to_owned()));
            } else {
                moved.push((path, value));
            }
        }
        let found: Vec<std::result::Result<Sensitivity, (String, String)>> =
            moved.into_par_iter().map(|(path, value)| self.answer(&base, path, value)).collect();
        self.go_on()?;
        let mut rows = Vec::new();
        for one in found {
            match one {
                Ok(row) => rows.push(row),
                Err(why) => skipped.push(why),
            }
        }
        rows.sort_by(|a, b| b.turnovers.abs().total_cmp(&a.turnovers.abs()));
        Ok(LifeSensitivity { base, step: STEP, rows, skipped })
    }

    /// Numbers that a shop or a chemist can move, with their paths: not stoichiometry, prices, reference states, or
    /// how a life is computed.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn movable_numbers(&self) -> Result<Vec<(String, f64)>> {
        let model = self.model()?;
        let moved = |path: &str| model.declaration(path).is_some_and(|one| one.role.is_movable());
        Ok(self.numbers().into_iter().filter(|(path, _)| moved(path)).collect())
    }

    fn numbers(&self) -> Vec<(String, f64)> {
        let entries = self.document().entries().iter();
        let number = |entry: &Arc<Entry>| match entry.value {
            Value::Number(value) => Some((entry.path.clone(), value)),
            _ => None,
        };
        entries.filter_map(number).collect()
    }

    /// The numbers at these paths, or those that can be moved.
    fn numbers_at(&self, paths: Option<&[String]>) -> Result<Vec<(String, f64)>> {
        let Some(paths) = paths else { return self.movable_numbers() };
        let all = self.numbers();
        let of = |path: &String| {
            all.iter().find(|(known, _)| known == path).cloned().ok_or_else(|| {
                let place = Place::without_line("life_sensitivity");
                Error::unknown_name(place, "number", path, all.iter().map(|(known, _)| known.as_str()))
            })
        };
        paths.iter().map(of).collect()
    }

    fn answer(
        &self,
        base: &Verdict,
        path: String,
        value: f64,
    ) -> std::result::Result<Sensitivity, (String, String)> {
        let run = |value: f64| -> Result<Life> {
            self.with(&path, Value::Number(value), "the sensitivity").simulate_life()
        };
        let (low_at, high_at) = (value * (1.0 - STEP), value * (1.0 + STEP));
        let (low, high) = (run(low_at), run(high_at));
        let sides = match (low, high) {
            (Ok(low), Ok(high)) => ((low_at, low.verdict), (high_at, high.verdict)),
            (Ok(low), Err(_)) => ((low_at, low.verdict), (value, base.clone())),
            (Err(_), Ok(high)) => ((value, base.clone()), (high_at, high.verdict)),
            (Err(error), Err(_)) => return Err((path, error.to_string())),
        };
        let ((low_at, low), (high_at, high)) = sides;
        let width = (high_at / low_at).ln();
        let slope = |read: fn(&Verdict) -> f64| (read(&high) / read(&low)).ln() / width;
        Ok(Sensitivity {
            value,
            ran_at: (low_at, high_at),
            turnovers: slope(|verdict| verdict.turnovers_plated),
            plating_h: slope(|verdict| verdict.plating_h),
            clock_h: slope(|verdict| verdict.clock_h),
            area_m2: slope(|verdict| verdict.area_m2),
            limit_changes: low.limit != base.limit || high.limit != base.limit,
            limits: (low.limit, high.limit),
            path,
        })
    }
}
