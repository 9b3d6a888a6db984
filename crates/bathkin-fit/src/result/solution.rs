//! What a fit found, in numbers.

use std::collections::HashMap;

use bathkin::Recipe;
use bathkin_numerics::least_squares::Loss;
use bathkin_statistics::Scale;
use bathkin_statistics::criteria::{Criteria, criteria};
use bathkin_statistics::fit::Fit;
use bathkin_statistics::influence::{Influence, cooks_distance, influence};
use bathkin_statistics::lack_of_fit::{LackOfFit, lack_of_fit};
use bathkin_statistics::mixed::{Conditional, Mixed};
use bathkin_statistics::parameter::Determination;
use bathkin_statistics::priors::{NormalPrior, WithPriors};

use crate::data::rows::Row;
use crate::data::sheet::Data;
use crate::error::DataError;
use crate::estimate::fitting::Fitted;
use crate::estimate::options::RecipeFitOptions;
use crate::estimate::prior::PriorWeight;
use crate::estimate::starts::StartsTried;
use crate::objective::residuals::RecipeModel;
use crate::result::estimates::{PathEstimate, estimates};
use crate::result::half_width::Uncertain;

/// A fit of a recipe to data, without words.
#[derive(Debug, Clone)]
pub struct Solution {
    /// The recipe the fit started from.
    pub recipe: Recipe,
    /// What it was fitted to.
    pub data: Vec<Data>,
    /// How.
    pub options: RecipeFitOptions,
    /// Its residuals.
    pub model: RecipeModel,
    /// The statistics, in the solver's numbers (logarithms where the scale says so). With priors, their rows
    /// stand behind those of the data, and with groups rows are whitened: see [`Solution::residuals`].
    pub fit: Fit,
    /// Random effects, where runs belong to groups.
    pub mixed: Option<Mixed>,
    /// Residuals beside these effects.
    pub(crate) conditional: Option<Conditional>,
    /// Estimates in the recipe's numbers.
    pub estimates: Vec<PathEstimate>,
    /// Calculated value of every measured one.
    pub calculated: Vec<f64>,
    /// The test against replicates, where there are any.
    pub lack_of_fit: Option<LackOfFit>,
    /// Priors, on the scales they are fitted on.
    pub(crate) priors: Vec<NormalPrior>,
    /// Prior weights, one for each prior.
    pub prior_weights: Vec<PriorWeight>,
    /// Further starts, where some were asked for.
    pub(crate) starts: Option<StartsTried>,
    /// The fit with the other error model, where it may differ.
    pub(crate) other_errors: Option<Fit>,
}

impl Solution {
    /// What is made of a minimum.
    pub(crate) fn new(
        recipe: &Recipe,
        data: &[Data],
        options: &RecipeFitOptions,
        fitted: Fitted,
    ) -> Result<Self, DataError> {
        let Fitted { model, fit, mixed, priors, prior_weights, starts, other_errors } = fitted;
        Ok(Solution {
            recipe: recipe.heeding(&options.stop),
            data: data.to_vec(),
            options: options.clone(),
            estimates: estimates(&Uncertain {
                fit: &fit,
                model: &model,
                mixed: mixed.as_ref(),
                has_priors: !priors.is_empty(),
            }),
            calculated: model.calculated(fit.values())?,
            // A test of the data alone, of independent rows, and of values that were found.
            lack_of_fit: (priors.is_empty() && mixed.is_none()).then(|| replicates(&model, &fit)).flatten(),
            conditional: mixed.as_ref().map(Mixed::conditional),
            model,
            fit,
            mixed,
            priors,
            prior_weights,
            starts,
            other_errors,
        })
    }

    /// Correlations, row by row; `None` where one of the two has no standard error.
    pub fn correlation(&self) -> Vec<Vec<Option<f64>>> {
        let all = 0..self.fit.parameters.len();
        all.clone().map(|a| all.clone().map(|b| self.fit.correlation(a, b)).collect()).collect()
    }

    /// Residuals of the measured values, in standard deviations before the size of the errors of the fit as a
    /// whole; those within groups, where there are any.
    pub fn residuals(&self) -> &[f64] {
        let of_fit = || &self.fit.minimum.residuals[..self.model.rows.len()];
        self.conditional.as_ref().map_or_else(of_fit, |conditional| &conditional.residuals)
    }

    /// Share of each measured value in its own calculated one, 0-1.
    pub(crate) fn leverage(&self) -> Vec<f64> {
        let of_fit = || self.fit.minimum.spectrum.leverage();
        let mut found = self.conditional.as_ref().map_or_else(of_fit, |of| of.leverage.clone());
        found.truncate(self.model.rows.len());
        found
    }

    /// Leverage, standardised residual and Cook's distance of every measured value.
    pub fn influence(&self) -> Vec<Influence> {
        if let (Some(conditional), Some(variance)) = (&self.conditional, self.fit.variance) {
            return within_groups(conditional, variance, self.fit.minimum.spectrum.rank);
        }
        let mut found = influence(&self.fit);
        found.truncate(self.model.rows.len());
        found
    }

    /// Information criteria; `None` with priors, with a robust loss, and with values below a limit among errors
    /// of a size that is not known: theirs is no likelihood of the data alone.
    pub fn criteria(&self) -> Option<Criteria> {
        if let Some(mixed) = &self.mixed {
            return Some(mixed.criteria());
        }
        let known = self.fit.options.scale == Scale::Known;
        let of_data = self.priors.is_empty() && self.options.loss == Loss::Linear;
        (of_data && (known || !self.is_censored())).then(|| criteria(&self.fit))
    }

    /// Standard deviation of the residuals in the sigmas they were divided by: √(S/ν), whether those are absolute or
    /// not; `None` without a degree of freedom.
    pub fn scatter(&self) -> Option<f64> {
        let freedom = self.fit.degrees_of_freedom;
        (freedom > 0).then(|| (self.fit.sum_of_squares() / freedom as f64).sqrt())
    }

    /// Whether any value is only known to be below a limit.
    pub(crate) fn is_censored(&self) -> bool {
        self.model.below().any(|below| below)
    }

    /// The residuals with the rows of the priors behind them.
    pub(crate) fn with_priors(&self) -> Result<WithPriors<'_, RecipeModel>, DataError> {
        Ok(WithPriors::new(&self.model, &self.priors, 1.0)?)
    }

    /// Whether an estimate has an uncertainty.
    pub(crate) fn is_determined(&self, place: usize) -> bool {
        self.fit.parameters[place].determination == Determination::Ok
    }
}

/// Influence of rows on what their groups and the estimates say of them.
fn within_groups(of: &Conditional, variance: f64, rank: usize) -> Vec<Influence> {
    const ALONE: f64 = 1.0 - 1e-10;
    let influence = |(residual, leverage): (&f64, &f64)| {
        let met = *leverage > ALONE;
        Influence {
            leverage: *leverage,
            standardised_residual: (!met).then(|| residual / (variance * (1.0 - leverage)).sqrt()),
            cooks_distance: (!met && rank > 0)
                .then(|| cooks_distance(*residual, *leverage, rank as f64, variance)),
        }
    };
    of.residuals.iter().zip(&of.leverage).map(influence).collect()
}

/// The test against replicates: the same value of the same case, and the same sigma. Values below a limit are
/// none.
fn replicates(model: &RecipeModel, found: &Fit) -> Option<LackOfFit> {
    let key = |row: &Row| (row.case, row.value, row.observed.sigma.map(f64::to_bits));
    let read: Vec<usize> =
        (0..model.rows.len()).filter(|number| !model.rows[*number].observed.below).collect();
    let keys: Vec<_> = read.iter().map(|number| key(&model.rows[*number])).collect();
    let mut first = HashMap::new();
    let groups: Vec<usize> =
        keys.iter().enumerate().map(|(place, key)| *first.entry(*key).or_insert(place)).collect();
    let mut of_read = found.clone();
    of_read.minimum.residuals = read.iter().map(|number| found.minimum.residuals[*number]).collect();
    lack_of_fit(&of_read, &groups).ok()
}
