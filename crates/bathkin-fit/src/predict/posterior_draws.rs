//! Draws of the posterior of a fit, by importance sampling about the estimates.
//!
//! The proposal is Student's t about the estimates with their covariance, on the scales they are fitted on: of the
//! degrees of freedom of the fit where the size of the errors was estimated, the posterior being such a t itself where
//! the model is straight, and of at most seven.

use nalgebra::DMatrix;
use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{DataError, RequestProblem};
use crate::report::sentences::ahead::OfPosterior;
use crate::result::solution::Solution;
use bathkin::Remark;
use bathkin_statistics::Scale;
use bathkin_statistics::importance::{
    Marginal, Proposal, Sampled, SamplingOptions, marginal, resampled, sample,
};
use bathkin_statistics::progress::Done;

/// Degrees of freedom of the proposal: tails heavier than those of a normal posterior.
const FREEDOM: usize = 7;

/// Weighted draws of the posterior.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "Posterior")]
pub struct PosteriorDraws {
    /// The numbers, as in `estimates` and `starts` of the fit.
    pub paths: Vec<String>,
    /// Draws, a row each with a value for every path, in the recipe's units.
    pub draws: Vec<Vec<f64>>,
    /// Weight of each; they add up to one.
    pub weights: Vec<f64>,
    /// Places of draws of equal weight, as many as all are worth, for what takes no weights.
    pub equal: Vec<usize>,
    /// Logarithm of the posterior density of each, up to a constant.
    pub log_posterior: Vec<f64>,
    /// Mean, standard deviation, median and 95 % interval of each number.
    pub marginals: Vec<Marginal>,
    /// How many independent draws they are worth.
    pub effective: f64,
    /// Whether they may be trusted: means over the weights converge.
    pub trusted: bool,
    /// Shape of the tail of the weights.
    pub pareto_k: f64,
    /// The largest shape with which they may be trusted.
    pub largest_trusted_k: f64,
    /// How often the proposal was mended before.
    pub mended: usize,
    /// How often the model was computed.
    pub evaluations: usize,
    /// What is to be said of them.
    pub remarks: Vec<Remark>,
}

impl Solution {
    /// Draws of the posterior that are worth so many independent ones.
    ///
    /// The density is that of [`Solution::log_posterior`]. Whether the weights may be trusted is told by `pareto_k`; where
    /// not, a remark says so. `done` hears how many points were computed.
    ///
    /// # Errors
    /// [`DataError`] where a number is not determined, so that there is no posterior without a prior of it; where no
    /// points hit it; for a robust loss; when stopped.
    pub fn posterior_draws(
        &self,
        options: &SamplingOptions,
        done: Done,
    ) -> Result<PosteriorDraws, DataError> {
        self.check_has_posterior()?;
        let proposal = self.proposal()?;
        let stop = || self.options.stop.is_asked();
        let found = sample(&|at| self.ln_density_inside(at), proposal, options, &stop, done)?;
        Ok(self.told(found, options))
    }

    fn proposal(&self) -> Result<Proposal, DataError> {
        let freedom = match self.fit.options.scale {
            Scale::Known => FREEDOM,
            Scale::Estimated => self.fit.degrees_of_freedom.clamp(1, FREEDOM),
        };
        let count = self.fit.parameters.len();
        let at_bound = &self.fit.minimum.at_bound;
        let scatter = DMatrix::from_fn(count, count, |a, b| match at_bound[a] || at_bound[b] {
            true if a == b => self.width_at_bound(a).powi(2),
            true => 0.0,
            false => self.fit.covariance[(a, b)],
        });
        let none = || {
            let eigenvalue = scatter.clone().symmetric_eigenvalues().min();
            DataError::from(RequestProblem::Covariance { eigenvalue })
        };
        Proposal::new(self.fit.values().to_vec(), scatter.clone(), freedom).ok_or_else(none)
    }

    fn told(&self, found: Sampled, options: &SamplingOptions) -> PosteriorDraws {
        const FEW: f64 = 0.8;
        let (asked, seed) = (options.effective, options.seed);
        let points = found.points.len();
        let outside = |point: &Vec<f64>| -> Vec<f64> {
            self.model.free.iter().zip(point).map(|(number, value)| number.scale.outside(*value)).collect()
        };
        let draws: Vec<Vec<f64>> = found.points.iter().map(outside).collect();
        let paths: Vec<String> = self.estimates.iter().map(|estimate| estimate.path.clone()).collect();
        let of = |(place, path): (usize, &String)| {
            let column: Vec<f64> = draws.iter().map(|draw| draw[place]).collect();
            marginal(path, &column, &found.weights)
        };
        let marginals = paths.iter().enumerate().map(of).collect();
        let densities = found.points.iter().zip(&found.ln_densities);
        let log_posterior = densities.map(|(point, value)| self.over_recipe(*value, point)).collect();
        let (pareto_k, largest_trusted_k, effective) = (found.k, found.largest_trusted_k, found.effective);
        let mut remarks = Vec::new();
        let trusted = found.is_trusted();
        if !trusted {
            remarks.push(OfPosterior::NotTrusted { pareto_k, largest_trusted_k, effective, points }.into());
        } else if effective < FEW * asked as f64 {
            remarks.push(OfPosterior::FewEffective { effective, asked, points }.into());
        }
        PosteriorDraws {
            paths,
            draws,
            equal: resampled(&found.weights, effective as usize, seed),
            weights: found.weights,
            log_posterior,
            marginals,
            effective,
            trusted,
            pareto_k,
            largest_trusted_k,
            mended: found.mended,
            evaluations: found.evaluations,
            remarks,
        }
    }
}
