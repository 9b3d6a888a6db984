//! Everything a fit found, as one result.

use bathkin_statistics::Scale;
use bathkin_statistics::criteria::Criteria;
use bathkin_statistics::lack_of_fit::LackOfFit;
use schemars::JsonSchema;
use serde::Serialize;

use crate::estimate::prior::PriorWeight;
use crate::objective::free::Target;
use crate::recipe_fit::RecipeFit;
use crate::result::estimates::PathEstimate;
use crate::result::measured::{ColumnErrors, MeasuredColumns};
use crate::result::random_effects::RandomEffects;
use crate::result::statistics::FitStatistics;
use bathkin::Remark;

/// How far the search for the minimum went.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SearchSettings {
    /// Largest cosine between the residuals and a column of their derivatives at the minimum.
    pub gradient_tolerance: f64,
    /// Smallest part of the sum of squares worth another step.
    pub decrease_tolerance: f64,
    /// Smallest step, as part of the parameters.
    pub step_tolerance: f64,
    /// Relative error of the sum of squares.
    pub resolution: f64,
    /// Singular values below this part of the largest count as zero.
    pub rank_tolerance: f64,
    /// Most evaluations of the residuals.
    pub max_evaluations: usize,
}

/// What a fit found.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[serde(tag = "class", rename = "Fit")]
pub struct FitResult<'a> {
    /// Numbers of the recipe.
    pub estimates: Vec<&'a PathEstimate>,
    /// What baths held at the start of their logs.
    pub starts: Vec<&'a PathEstimate>,
    /// Paths of both, in this order.
    pub names: Vec<&'a str>,
    /// Correlations of both, a row for each; not a number where one has no standard error.
    pub correlations: Vec<Vec<f64>>,
    /// The weight of each prior in its estimate.
    pub prior_weights: &'a [PriorWeight],
    /// How large errors of each measured column are.
    pub errors: Vec<ColumnErrors<'a>>,
    /// Measured values beside the calculated ones.
    pub measured: MeasuredColumns,
    /// Which runs belong together, how far groups differ, and how far each is off; none without groups.
    pub random_effects: Option<RandomEffects>,
    /// Whether the standard deviations were absolute.
    pub sigma: Scale,
    /// Measured values less determined numbers.
    pub degrees_of_freedom: usize,
    /// Standard deviation of the residuals in units of sigma, of the logarithm for relative errors; none without a
    /// degree of freedom.
    pub scatter: Option<f64>,
    /// What the sum of squares comes to.
    #[serde(flatten)]
    pub statistics: FitStatistics,
    /// Covariance of both in the recipe's units, a row for each: to first order for those fitted on a log scale; not a
    /// number where one has no standard error.
    pub covariance: Vec<Vec<f64>>,
    /// Sum of squares of all residuals, those of priors too.
    pub sum_of_squares: f64,
    /// Information criteria; none with priors, with a robust loss, and where the error variances of several columns
    /// were estimated.
    pub criteria: Option<Criteria>,
    /// F test of the model against replicates; none without any.
    pub lack_of_fit: Option<LackOfFit>,
    /// Evaluations of the model in the last search.
    pub evaluations: usize,
    /// Of these, evaluations that failed.
    pub failures: usize,
    /// How far the search for the minimum went.
    pub search: SearchSettings,
    /// What the data do not determine, what was assumed, and what to do about it.
    pub remarks: &'a [Remark],
    /// Those of the remarks that say that the model misses the data; empty in a sound fit.
    pub misfit: Vec<&'a Remark>,
}

impl RecipeFit {
    /// Everything it found.
    pub fn result(&self) -> FitResult<'_> {
        let (starts, estimates) = self.estimates.iter().partition(|one| self.is_start(&one.path));
        let comparable = self.fit.options.scale == Scale::Known || self.model.columns().len() == 1;
        FitResult {
            estimates,
            starts,
            names: self.estimates.iter().map(|one| one.path.as_str()).collect(),
            correlations: numbers(self.correlation()),
            prior_weights: &self.prior_weights,
            errors: self.column_errors(),
            measured: self.measured_columns(),
            random_effects: self.random_effects(),
            sigma: self.fit.options.scale,
            degrees_of_freedom: self.fit.degrees_of_freedom,
            scatter: self.scatter(),
            statistics: self.statistics(),
            covariance: numbers(self.covar()),
            sum_of_squares: self.fit.sum_of_squares(),
            criteria: self.criteria().filter(|_| comparable),
            lack_of_fit: self.lack_of_fit,
            evaluations: self.fit.minimum.evaluations,
            failures: self.fit.minimum.failures,
            search: self.search(),
            remarks: &self.remarks,
            misfit: self.misfit().collect(),
        }
    }

    fn search(&self) -> SearchSettings {
        let of = &self.fit.options.solver;
        SearchSettings {
            gradient_tolerance: of.gradient_tolerance,
            decrease_tolerance: of.decrease_tolerance,
            step_tolerance: of.step_tolerance,
            resolution: of.resolution,
            rank_tolerance: of.rank_tolerance,
            max_evaluations: of.max_evaluations,
        }
    }

    /// Whether a name is what a bath held at the start of its log. Those stand behind all others.
    fn is_start(&self, name: &str) -> bool {
        let free = self.model.free().iter().find(|free| free.name == name);
        free.is_some_and(|free| free.targets.iter().any(|target| matches!(target, Target::Start { .. })))
    }
}

/// A table of numbers, some of which there are not.
fn numbers(rows: Vec<Vec<Option<f64>>>) -> Vec<Vec<f64>> {
    let row = |row: Vec<Option<f64>>| row.into_iter().map(|value| value.unwrap_or(f64::NAN)).collect();
    rows.into_iter().map(row).collect()
}
