//! What a fit found, in the recipe's own numbers: estimates, intervals, residuals, the fitted recipe.

pub(crate) mod bootstrap;
pub(crate) mod course;
pub(crate) mod estimates;
pub(crate) mod fit_result;
pub(crate) mod half_width;
pub(crate) mod intervals;
pub(crate) mod measured;
pub(crate) mod random_effects;
pub(crate) mod record;
pub(crate) mod scatter;
pub(crate) mod solution;
pub(crate) mod statistics;

pub use course::LogCourse;
pub use estimates::PathEstimate;
pub use fit_result::{FitResult, SearchSettings};
pub use measured::{ColumnErrors, Measured, MeasuredColumns};
pub use random_effects::{GroupEffects, RandomEffects, VarianceComponent};
pub use solution::Solution;
pub use statistics::FitStatistics;
