//! Random effects of a fit in the unit in which they act.

use bathkin_statistics::mixed::Mixed;
use schemars::JsonSchema;
use serde::Serialize;

use crate::data::error_model::ErrorModel;
use crate::result::solution::Solution;

/// How far groups of a label are off each other, or runs within one.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct VarianceComponent {
    /// The label, or `within`.
    pub name: String,
    /// How many groups it has, or runs there are.
    pub count: usize,
    /// Standard deviation.
    pub standard_deviation: f64,
    /// 95 % interval from the profile of the restricted likelihood; from few groups it is wide, and from zero where groups need
    /// not differ at all.
    pub interval95: Option<[f64; 2]>,
    /// `relative`, of the logarithm (0.05 is 5 %); the column measured, of values in its unit; or `sigma`, times the standard
    /// deviation of each run.
    pub unit: String,
}

/// How far each group is off, by columns.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct GroupEffects {
    /// The label of each group.
    pub label: Vec<String>,
    /// Its name.
    pub group: Vec<String>,
    /// Its runs.
    pub runs: Vec<usize>,
    /// How far observed values lie above the model, shrunken towards zero the more the fewer runs tell it.
    pub effect: Vec<f64>,
    /// Standard error of that; takes the standard deviation between groups as known.
    pub standard_error: Vec<f64>,
}

/// Which runs belong together, and what that does.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct RandomEffects {
    /// The labels, the coarser first.
    pub labels: Vec<String>,
    /// Unit of the effects: `relative`, of the logarithm (0.05 is 5 %), or the column measured, of values in its unit.
    pub unit: String,
    /// Standard deviations between groups of each label, and within; without the last where sigmas are absolute.
    pub components: Vec<VarianceComponent>,
    /// Each group.
    pub groups: GroupEffects,
}

/// Name of the scatter within the finest groups.
const WITHIN: &str = "within";
/// Unit of effects on the logarithm.
const RELATIVE: &str = "relative";

impl Solution {
    /// Random effects; `None` where runs belong to no groups.
    pub fn random_effects(&self) -> Option<RandomEffects> {
        let mixed = self.mixed.as_ref()?;
        let column = self.model.columns.first()?;
        let unit = if column.errors.is_logarithmic() { RELATIVE } else { column.name.as_str() };
        let (size, unit_within) = match column.errors {
            _ if self.model.has_own_sigmas(0) => (column.size, "sigma"),
            ErrorModel::Absolute { sigma } | ErrorModel::Relative { sigma } => (column.size * sigma, unit),
            ErrorModel::Mixed { .. } => (column.size, "sigma"),
        };
        let component = |of: bathkin_statistics::mixed::VarianceComponent| {
            let (name, by, unit) = match of.label {
                Some(label) => (label, 1.0, unit),
                None => (WITHIN.to_owned(), size, unit_within),
            };
            VarianceComponent {
                name,
                count: of.count,
                standard_deviation: by * of.standard_deviation,
                interval95: of.interval.map(|ends| ends.map(|end| by * end)),
                unit: unit.to_owned(),
            }
        };
        Some(RandomEffects {
            labels: mixed.grouping().levels().iter().map(|level| level.label.clone()).collect(),
            unit: unit.to_owned(),
            components: mixed.components(0.95).into_iter().map(component).collect(),
            groups: groups(mixed),
        })
    }
}

fn groups(mixed: &Mixed) -> GroupEffects {
    let effects = mixed.effects();
    let numbers = |of: fn(&bathkin_statistics::mixed::GroupEffect) -> f64| effects.iter().map(of).collect();
    GroupEffects {
        label: effects.iter().map(|one| one.label.clone()).collect(),
        group: effects.iter().map(|one| one.group.clone()).collect(),
        runs: effects.iter().map(|one| one.rows).collect(),
        effect: numbers(|one| one.value),
        standard_error: numbers(|one| one.standard_error),
    }
}
