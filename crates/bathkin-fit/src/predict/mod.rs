//! What follows from a fit: samples of its numbers, the dump date with its uncertainty, the next runs, candidate models side by side.

pub(crate) mod comparison;
pub(crate) mod design;
pub(crate) mod draws;
pub(crate) mod forecast;
pub(crate) mod held;
pub(crate) mod posterior;
pub(crate) mod prediction;
pub(crate) mod unvaried;

pub use comparison::{CandidateModel, ModelComparison, compare, compare_reporting};
pub use design::{
    Aim, DesignOptions, ExpectedEstimate, NextRun, NextRuns, grid, next_runs, next_runs_reporting,
};
pub use draws::{ParameterDraws, draws};
pub use forecast::{Forecast, ForecastOptions, Spread, forecast};
pub use held::HeldNumber;
pub use prediction::Prediction;
