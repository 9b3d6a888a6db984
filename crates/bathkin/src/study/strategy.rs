//! Ways to run the same line, compared over the same horizon.

use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Serialize, Serializer};

use crate::document::Value;
use crate::error::Result;
use crate::flag::Flag;
use crate::life::{Life, Verdict};
use crate::recipe::Recipe;
use crate::tank::{CostParts, Quantity, Readings, Waste};

/// A way to run the line: a name, and what it sets in the recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Strategy {
    /// Name.
    pub name: String,
    /// Paths and their values.
    pub settings: Vec<(String, Value)>,
}

/// How far strategies are compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Horizon {
    /// Clock time with the line standing at dumps, h.
    Hours(f64),
    /// Area plated, m².
    Area(f64),
}

fn its_table<S: Serializer>(life: &Life, serializer: S) -> std::result::Result<S::Ok, S::Error> {
    life.table.serialize(serializer)
}

/// What a strategy does over the horizon.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct StrategyResult {
    /// Name.
    pub name: String,
    /// What it set, as text.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, String>")]
    pub settings: Vec<(String, String)>,
    /// Baths used up over the horizon, with the part of the last; one that outlives the horizon counts one.
    pub baths: f64,
    /// How one bath ended; `horizon` when it did not.
    pub ends_by: String,
    /// One bath: when it ended.
    pub bath: Verdict,
    /// Clock time, h, without the line standing.
    pub clock_h: f64,
    /// The line standing at dumps, h.
    pub downtime_h: f64,
    /// Area plated, m².
    pub area_m2: f64,
    /// Thickness times area plated, um dm².
    pub deposit_um_dm2: f64,
    /// Waste.
    pub waste: Waste,
    /// Waste per work done, mL per um dm².
    pub waste_ml_per_um_dm2: f64,
    /// Cost per um dm², when the recipe has prices.
    pub cost_per_um_dm2: Option<f64>,
    /// Parts of the cost over the horizon.
    pub cost: Option<CostParts>,
    /// By-product at the end of a bath, mol/L.
    pub by_product_end_mol_l: f64,
    /// Deposition rate at the end of a bath, um/h.
    pub deposition_end_um_h: f64,
    /// Mean deposition rate over plating hours, um/h.
    pub deposition_mean_um_h: f64,
    /// Alloying element, wt%, at the end of a bath; none for a pure metal.
    pub alloy_end_wt_pct: Option<f64>,
    /// Whether the by-product has settled at the end: less than 0.5 % gained in the last turnover.
    pub steady: bool,
    /// Warnings that go with its life beside those of the recipe.
    pub flags: Vec<Flag>,
    /// Columns of one bath: turnovers, hours, levels.
    #[serde(rename = "columns", serialize_with = "its_table")]
    #[schemars(with = "std::collections::BTreeMap<String, Vec<f64>>")]
    pub life: Life,
}

impl Recipe {
    /// Runs each strategy over the same horizon, or over the area of `5` lives of the recipe where none is
    /// given.
    ///
    /// A bath that reaches a limit before the horizon is dumped and remade, so many times as fit, in parts of a
    /// bath: the average of a long time. One that outlives it is made up once and dumped at the end.
    ///
    /// # Errors
    /// As [`Recipe::simulate_life`], for the first strategy that fails.
    pub fn compare(&self, strategies: &[Strategy], horizon: Option<Horizon>) -> Result<Vec<StrategyResult>> {
        const LIVES: f64 = 5.0;
        let horizon = match horizon {
            Some(horizon) => horizon,
            None => Horizon::Area(LIVES * self.simulate_life()?.verdict.area_m2),
        };
        let results: Vec<Result<StrategyResult>> =
            strategies.par_iter().map(|strategy| self.run_strategy(strategy, horizon)).collect();
        results.into_iter().collect()
    }

    fn run_strategy(&self, strategy: &Strategy, horizon: Horizon) -> Result<StrategyResult> {
        let by = "the strategy";
        let (limit, bound) = match horizon {
            Horizon::Hours(hours) => ("limits.clock_h", hours),
            Horizon::Area(area) => ("limits.area_m2", area),
        };
        let own = self.document().get(limit).and_then(|entry| match entry.value {
            Value::Number(number) => Some(number),
            _ => None,
        });
        // A limit of the recipe on the same count that comes before the horizon stays.
        let bound_here = own.map_or(bound, |own| own.min(bound));
        const FOR_EVER_H: f64 = 1e7;
        let mut recipe = self.with(limit, Value::Number(bound_here), by).with(
            "life.longest_clock_h",
            Value::Number(FOR_EVER_H),
            by,
        );
        for (path, value) in &strategy.settings {
            recipe = recipe.with(path, value.clone(), by);
        }
        let life = recipe.simulate_life()?;
        let model = recipe.model()?;
        let until = match horizon {
            Horizon::Hours(hours) => format!("{hours:.1} h are over"),
            Horizon::Area(area) => format!("{area:.4} m2 are plated"),
        };
        if let Some(refusal) = crate::study::racks_out::refusal(model, &life, &until) {
            return Err(refusal);
        }
        let mut flags = recipe.life_flags(&life)?;
        // What a strategy sets may raise warnings of its own when it is read.
        let of_recipe = &self.model()?.flags;
        flags.retain(|flag| !of_recipe.contains(flag) && flag.r#where != "cost");
        flags.extend(strategy.warning());
        let verdict = life.verdict.clone();
        let downtime_h = model.tank.operation.cost.as_ref().map_or(0.0, |cost| cost.downtime_h_per_dump);
        let to_horizon =
            own.is_none_or(|own| own > bound) && verdict.limit == limit.trim_start_matches("limits.");
        let baths = match horizon {
            _ if to_horizon => 1.0,
            Horizon::Hours(hours) => hours / (verdict.clock_h + downtime_h),
            Horizon::Area(area) => area / verdict.area_m2,
        };
        let value = |quantity: Quantity| life.rows.last().map_or(0.0, |row| quantity.value(&model.tank, row));
        let work = value(Quantity::DEPOSIT_UM_DM2);
        let volume_l = value(Quantity::VOLUME_L);
        let waste = Waste {
            volume_l: volume_l + value(Quantity::VOLUME_GONE_L),
            metal_g: volume_l * value(Quantity::METAL_G_L) + value(Quantity::METAL_GONE_G),
        };
        let point = model.tank.operation.cost.as_ref().map(|cost| cost.point(value));
        let by_product = model.tank.bath.roles.by_product;
        Ok(StrategyResult {
            name: strategy.name.clone(),
            settings: strategy.settings.iter().map(|(path, value)| (path.clone(), exact(value))).collect(),
            baths,
            ends_by: if to_horizon { "horizon".to_owned() } else { verdict.limit.clone() },
            clock_h: baths * verdict.clock_h,
            downtime_h: baths * downtime_h,
            area_m2: baths * verdict.area_m2,
            deposit_um_dm2: baths * work,
            waste: Waste { volume_l: baths * waste.volume_l, metal_g: baths * waste.metal_g },
            waste_ml_per_um_dm2: 1e3 * waste.volume_l / work,
            cost_per_um_dm2: point.map(|point| point.cost_per_um_dm2),
            cost: point.map(|point| times(point.parts, baths)),
            by_product_end_mol_l: value(Quantity::component(by_product)),
            deposition_end_um_h: value(Quantity::DEPOSITION_UM_H),
            deposition_mean_um_h: mean_rate(&life.rows),
            alloy_end_wt_pct: Quantity::alloy(&model.tank).map(value),
            steady: is_steady(&life.rows, by_product),
            bath: verdict,
            flags,
            life,
        })
    }
}

fn times(parts: CostParts, baths: f64) -> CostParts {
    CostParts {
        make_up: baths * parts.make_up,
        replenishers: baths * parts.replenishers,
        energy: baths * parts.energy,
        waste: baths * parts.waste,
        line: baths * parts.line,
        dump: baths * parts.dump,
    }
}

/// Mean of the rate over plating hours, by trapezes between rows.
fn mean_rate(rows: &[Readings]) -> f64 {
    let piece = |pair: &[Readings]| {
        0.5 * (pair[1].plating_h - pair[0].plating_h) * (pair[0].deposition_um_h + pair[1].deposition_um_h)
    };
    let area: f64 = rows.windows(2).map(piece).sum();
    rows.last().map_or(0.0, |last| area / last.plating_h)
}

fn is_steady(rows: &[Readings], by_product: usize) -> bool {
    const GAINED: f64 = 5e-3;
    let level = |row: &Readings| row.totals_mol_l[by_product];
    // The last row may stand a part of a turnover after the one before it, so the one before that is compared.
    match rows {
        [.., before, _, last] => (level(last) / level(before) - 1.0).abs() < 2.0 * GAINED,
        _ => false,
    }
}

/// A setting as data: unlike in a message, a number keeps all its digits.
fn exact(value: &Value) -> String {
    match value {
        Value::Number(number) => number.to_string(),
        other => other.to_string(),
    }
}
