//! Sensitivity of the dump time to each number of a recipe.

use std::sync::Arc;

use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use crate::document::{Entry, Value};
use crate::error::{Error, Place, Result};
use crate::life::Verdict;
use crate::recipe::Recipe;
use crate::study::ShopStep;

/// Relative step of each number, to both sides.
pub const STEP: f64 = 0.01;

/// What the numbers of a recipe are ranked by. None of them jumps where the end of a life crosses a night or a weekend,
/// as its clock hours do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum RankedBy {
    /// Area plated until the dump.
    Area,
    /// Cost per thickness and area.
    Money,
    /// Hours of plating until the dump.
    Hours,
}

impl RankedBy {
    const NAMED: [(&str, RankedBy); 3] =
        [("area", RankedBy::Area), ("money", RankedBy::Money), ("hours", RankedBy::Hours)];

    /// By its name: `area`, `money` or `hours`.
    ///
    /// # Errors
    /// [`Error::UnknownName`] with those names.
    pub fn named(name: &str) -> Result<Self> {
        let found = RankedBy::NAMED.iter().find(|(known, _)| *known == name);
        found.map(|(_, by)| *by).ok_or_else(|| {
            let place = Place::without_line("life_sensitivity");
            Error::unknown_name(place, "ranking", name, RankedBy::NAMED.map(|(known, _)| known))
        })
    }
}

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
    /// d ln(cost per um dm²) / d ln(value), without the steps of single doses; none without prices.
    pub cost_per_um_dm2: Option<f64>,
    /// The step of a shop for its unit, such as 0.1 of a pH or 1 degC; 1 % of it where it has no unit that shops set.
    pub shop_step: f64,
    /// That step in words: `0.1 pH`.
    pub shop_step_is: String,
    /// What the shop's step more does to the area plated, m², to first order.
    pub area_m2_per_step: f64,
    /// The same to the plating hours, h.
    pub plating_h_per_step: f64,
    /// The same to the cost per um dm², in the currency; none without prices.
    pub cost_per_um_dm2_per_step: Option<f64>,
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
    /// What it costs per um dm², with the part of a dose that it owes at its end; none without prices.
    pub base_cost_per_um_dm2: Option<f64>,
    /// Currency of the cost; none without prices.
    pub currency: Option<String>,
    /// Relative step to both sides.
    pub step: f64,
    /// What the rows are ranked by.
    pub by: RankedBy,
    /// A row per number, the one whose shop's step moves most first.
    pub rows: Vec<Sensitivity>,
    /// Numbers left out, and why.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, String>")]
    pub skipped: Vec<(String, String)>,
}

/// The end of a life, and its cost per um dm².
struct End {
    verdict: Verdict,
    cost: Option<f64>,
}

impl Recipe {
    /// Central differences of the logarithms of the dump's turnovers, times, area and cost, by the logarithm of each
    /// number x at `paths`, or of every number that a shop or a chemist can move; and what the shop's step Δx of its
    /// unit does to first order, Δy = y (d ln y / d ln x) Δx / x, by which they are ranked.
    ///
    /// Both neighbours at one per cent are whole lives, run in parallel. A number at zero has no relative
    /// change and is listed as skipped, as is one whose lives fail on both sides.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for a path that holds no number, [`Error::Recipe`] for a ranking by money without prices;
    /// as [`Recipe::simulate_life`] for the life as the recipe has it.
    pub fn life_sensitivity(&self, paths: Option<&[String]>, by: RankedBy) -> Result<LifeSensitivity> {
        let currency = self.model()?.tank.operation.cost.as_ref().map(|cost| cost.currency.clone());
        if by == RankedBy::Money && currency.is_none() {
            return Err(Error::Recipe {
                place: Place::without_line("life_sensitivity"),
                key: "by".to_owned(),
                value: "money".to_owned(),
                expected: "a recipe with prices, [cost], or area or hours".to_owned(),
                hint: None,
            });
        }
        let base = self.life_end()?;
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
        let moves = |row: &Sensitivity| match by {
            RankedBy::Area => row.area_m2_per_step.abs(),
            RankedBy::Hours => row.plating_h_per_step.abs(),
            RankedBy::Money => row.cost_per_um_dm2_per_step.unwrap_or(0.0).abs(),
        };
        rows.sort_by(|a, b| moves(b).total_cmp(&moves(a)));
        let End { verdict, cost } = base;
        Ok(LifeSensitivity {
            base: verdict,
            base_cost_per_um_dm2: cost,
            currency,
            step: STEP,
            by,
            rows,
            skipped,
        })
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

    fn life_end(&self) -> Result<End> {
        let life = self.simulate_life()?;
        Ok(End { cost: self.cost_per_um_dm2(&life.table)?, verdict: life.verdict })
    }

    fn answer(
        &self,
        base: &End,
        path: String,
        value: f64,
    ) -> std::result::Result<Sensitivity, (String, String)> {
        let run = |value: f64| self.with(&path, Value::Number(value), "the sensitivity").life_end();
        let (low_at, high_at) = (value * (1.0 - STEP), value * (1.0 + STEP));
        let (low, high) = (run(low_at), run(high_at));
        let ((low_at, low), (high_at, high)) = match (&low, &high) {
            (Ok(low), Ok(high)) => ((low_at, low), (high_at, high)),
            (Ok(low), Err(_)) => ((low_at, low), (value, base)),
            (Err(_), Ok(high)) => ((value, base), (high_at, high)),
            (Err(error), Err(_)) => return Err((path, error.to_string())),
        };
        let width = (high_at / low_at).ln();
        let slope = |read: fn(&Verdict) -> f64| (read(&high.verdict) / read(&low.verdict)).ln() / width;
        let cost_slope = low.cost.zip(high.cost).map(|(low, high)| (high / low).ln() / width);
        let (plating_h, area_m2) = (slope(|verdict| verdict.plating_h), slope(|verdict| verdict.area_m2));
        let ShopStep { step, said } = ShopStep::of(&path, value);
        let per_step = |now: f64, slope: f64| now * slope * step / value;
        Ok(Sensitivity {
            value,
            ran_at: (low_at, high_at),
            turnovers: slope(|verdict| verdict.turnovers_plated),
            plating_h,
            clock_h: slope(|verdict| verdict.clock_h),
            area_m2,
            cost_per_um_dm2: cost_slope,
            shop_step: step,
            shop_step_is: said,
            area_m2_per_step: per_step(base.verdict.area_m2, area_m2),
            plating_h_per_step: per_step(base.verdict.plating_h, plating_h),
            cost_per_um_dm2_per_step: base.cost.zip(cost_slope).map(|(cost, slope)| per_step(cost, slope)),
            limit_changes: low.verdict.limit != base.verdict.limit
                || high.verdict.limit != base.verdict.limit,
            limits: (low.verdict.limit.clone(), high.verdict.limit.clone()),
            path,
        })
    }
}
