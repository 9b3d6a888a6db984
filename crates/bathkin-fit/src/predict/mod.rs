//! What follows from a fit: samples of its numbers, the dump date with its uncertainty, the next runs, candidate models side by side.

pub(crate) mod comparison;
pub(crate) mod dates;
pub(crate) mod design;
pub(crate) mod draws;
pub(crate) mod forecast;
pub(crate) mod forecast_remarks;
pub(crate) mod forecast_result;
pub(crate) mod held;
pub(crate) mod posterior;
pub(crate) mod posterior_draws;
pub(crate) mod prediction;
pub(crate) mod spread;
pub(crate) mod unvaried;

pub use comparison::{CandidateModel, ModelComparison, compare, compare_reporting};
pub use dates::MadeUp;
pub use design::{
    Aim, DesignOptions, ExpectedEstimate, NextRun, NextRuns, grid, next_runs, next_runs_reporting,
};
pub use draws::{ParameterDraws, draws};
pub use forecast::forecast;
pub use forecast_result::{DumpForecast, Forecast, ForecastOptions};
pub use held::HeldNumber;
pub use posterior_draws::PosteriorDraws;
pub use prediction::Prediction;
pub use spread::{DateSpread, Spread};
