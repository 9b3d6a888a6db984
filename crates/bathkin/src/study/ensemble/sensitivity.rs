//! Which of the numbers that vary make an output vary.

use bathkin_statistics::correlation::rank_correlation;
use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::study::ensemble::collected::Collected;
use crate::study::ensemble::design::Design;
use crate::study::ensemble::output::refuse;
use crate::study::ensemble::plan::{BY, EnsemblePlan};

/// The part of the variance of an output that a number makes: Sobol's indices.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct VarianceShare {
    /// Name of the output.
    pub output: String,
    /// Path of the number.
    pub path: String,
    /// First-order index: the part that would go if the number were known.
    pub first: f64,
    /// Low end of its interval.
    pub first_low: f64,
    /// High end.
    pub first_high: f64,
    /// Total index: the part that would stay if the number alone were not known.
    pub total: f64,
    /// Low end of its interval.
    pub total_low: f64,
    /// High end.
    pub total_high: f64,
}

/// How an output answers to a number over its whole range: Morris's elementary effects.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ElementaryEffects {
    /// Name of the output.
    pub output: String,
    /// Path of the number.
    pub path: String,
    /// Mean effect, in the unit of the output over the whole range of the number.
    pub mean: f64,
    /// Mean size of the effects.
    pub mean_size: f64,
    /// Their standard deviation: large where the number acts not in a straight line, or with others.
    pub standard_deviation: f64,
    /// How many there are.
    pub count: usize,
}

/// How far an output goes with a number over the members of any ensemble.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Driver {
    /// Path of the number.
    pub path: String,
    /// Spearman's rank correlation.
    pub rank_correlation: f64,
    /// Its square: the part of the spread that goes with the number alone.
    pub share: f64,
}

/// An output that says nothing about the numbers.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Silent {
    /// Name of the output.
    pub output: String,
    /// Why: it is the same everywhere, or too many members failed.
    pub reason: String,
}

impl Collected {
    /// Sobol's indices of every output that is a number, with intervals of this level, and the outputs that have none.
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] for an ensemble of other points, or one that was ended before or not kept.
    pub fn variance_shares(
        &self,
        plan: &EnsemblePlan,
        level: f64,
    ) -> Result<(Vec<VarianceShare>, Vec<Silent>)> {
        let Design::Indices { sample, .. } = &plan.design else { return Err(other_points()) };
        self.of_outputs(plan, |output, answers| {
            let found = sample.indices(answers, level).map_err(|error| error.to_string())?;
            let rows = plan.points.paths.iter().zip(found.first.iter().zip(&found.total));
            let row = rows.map(|(path, (first, total))| VarianceShare {
                output: output.to_owned(),
                path: path.clone(),
                first: first.value,
                first_low: first.low,
                first_high: first.high,
                total: total.value,
                total_low: total.low,
                total_high: total.high,
            });
            Ok(row.collect())
        })
    }

    /// Morris's effects of every output that is a number, and the outputs that have none.
    ///
    /// # Errors
    /// As [`Collected::variance_shares`].
    pub fn elementary_effects(&self, plan: &EnsemblePlan) -> Result<(Vec<ElementaryEffects>, Vec<Silent>)> {
        let Design::Effects { sample, .. } = &plan.design else { return Err(other_points()) };
        self.of_outputs(plan, |output, answers| {
            let found = sample.effects(answers).map_err(|error| error.to_string())?;
            let row = plan.points.paths.iter().zip(found).map(|(path, effects)| ElementaryEffects {
                output: output.to_owned(),
                path: path.clone(),
                mean: effects.mean,
                mean_size: effects.mean_size,
                standard_deviation: effects.standard_deviation,
                count: effects.count,
            });
            Ok(row.collect())
        })
    }

    /// How far an output, by its place, goes with each number, the one that makes most of its spread first. Numbers that do
    /// not vary, and outputs that do not, have none; nor has an ensemble whose members are not kept.
    pub fn drivers(&self, plan: &EnsemblePlan, output: usize) -> Vec<Driver> {
        let Some(answers) = self.columns().map(|columns| &columns[output]) else { return Vec::new() };
        let members = self.members().start..self.members().start + self.done();
        let drawn: Vec<Vec<f64>> = members.map(|member| plan.design.values(member)).collect();
        let of_path = |(place, path): (usize, &String)| {
            let values: Vec<f64> = drawn.iter().map(|values| values[place]).collect();
            let rank_correlation = rank_correlation(&values, answers)?;
            Some(Driver { path: path.clone(), rank_correlation, share: rank_correlation.powi(2) })
        };
        let mut found: Vec<Driver> = plan.points.paths.iter().enumerate().filter_map(of_path).collect();
        found.sort_by(|a, b| b.share.total_cmp(&a.share));
        found
    }

    fn of_outputs<T>(
        &self,
        plan: &EnsemblePlan,
        rows: impl Fn(&str, &[f64]) -> std::result::Result<Vec<T>, String>,
    ) -> Result<(Vec<T>, Vec<Silent>)> {
        let whole = self.done() == plan.design.count();
        let Some(columns) = self.columns().filter(|_| whole) else {
            let done = format!("{} of {}", self.done(), plan.design.count());
            return Err(refuse(BY, "members", done, "all members, each kept"));
        };
        let (mut found, mut silent) = (Vec::new(), Vec::new());
        for (output, answers) in
            plan.points.outputs.iter().zip(columns).filter(|(output, _)| !output.is_limit())
        {
            match rows(&output.name, answers) {
                Ok(rows) => found.extend(rows),
                Err(reason) => silent.push(Silent { output: output.name.clone(), reason }),
            }
        }
        Ok((found, silent))
    }
}

fn other_points() -> crate::error::Error {
    refuse(BY, "draws", "other points", "the points of this method")
}
