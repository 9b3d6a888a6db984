//! How to fit a recipe.

use bathkin_numerics::least_squares::Loss;
use bathkin_statistics::Scale;

use crate::estimate::prior::Prior;
use crate::objective::specification::FitSpecification;
use crate::stop::Stop;

/// How to fit a recipe.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RecipeFitOptions {
    /// What is free, and how errors are distributed.
    pub specification: FitSpecification,
    /// Whether the sigmas are absolute (`absolute_sigma` of SciPy). Where they are not, the error variance of each
    /// column of measured values is estimated from its residuals.
    pub scale: Scale,
    /// (free path, value) where the search starts, in the recipe's unit; by default from the recipe's number.
    pub start: Vec<(String, f64)>,
    /// (free path, lower, upper) in the recipe's numbers; infinite where there is no bound.
    pub bounds: Vec<(String, f64, f64)>,
    /// What was known of free numbers before, for the linear loss. A prior keeps its meaning whatever the size
    /// of the errors.
    pub priors: Vec<Prior>,
    /// How residuals weigh: a robust loss takes outliers lightly.
    pub loss: Loss,
    /// Its scale, in standard deviations.
    pub loss_scale: Option<f64>,
    /// Further starts about the recipe's numbers; none by default.
    pub starts: usize,
    /// Seed of the starts.
    pub seed: u64,
    /// Asks the fit to stop, and later what is made of it.
    pub stop: Stop,
}
