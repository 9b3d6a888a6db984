//! The fit of a recipe to data, in the recipe's own numbers.
//!
//! | piece | what it does |
//! | --- | --- |
//! | [`fit_recipe`] | the fit, with [`Prior`]s where something was known before |
//! | [`RecipeFit`] | its answers: estimates, intervals, correlations, profiles, predictions, the fitted recipe; the fit continued with more data; the posterior for samplers |
//! | [`next_runs`] | which runs to make next |
//! | [`compare`] | several models side by side |
//! | [`draws()`], [`forecast()`] | numbers that could stand in place of the fitted ones; when the bath is dumped, as sure as the fit is |

mod chord;
mod comparison;
mod course;
mod design;
mod doubts;
mod draws;
mod estimates;
mod fitting;
mod forecast;
mod freedom;
mod fused_jacobian;
mod held;
mod measured;
mod messages;
mod misfit;
mod posterior;
mod prediction;
mod prior;
mod record;
mod replicates;
mod sizes;
mod starts;
mod taken;
mod tested;
mod unvaried;
mod with_priors;
pub(crate) mod words;

pub use comparison::{Comparison, Refusal, RivalModel, compare, compare_reporting};
pub use course::LogCourse;
pub use design::{Aim, DesignOptions, ExpectedPath, NextRun, NextRuns, grid, next_runs, next_runs_reporting};
pub use draws::{Draws, draws};
pub use estimates::{PathEstimate, RecipeFit};
pub use fitting::{RecipeFitOptions, fit_recipe};
pub use forecast::{Forecast, ForecastOptions, LimitProbability, Spread, forecast};
pub use held::HeldNumber;
pub use measured::{ColumnErrors, Measured};
pub use prediction::Prediction;
pub use prior::{Prior, PriorShare};
pub use record::digest;
