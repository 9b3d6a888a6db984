//! The fit of a recipe to data, in the recipe's own numbers.
//!
//! | piece | what it does |
//! | --- | --- |
//! | [`fit_recipe`] | the fit |
//! | [`RecipeFit`] | its answers: estimates, intervals, correlations, profiles, predictions, the fitted recipe |

mod course;
mod estimates;
mod fitting;
mod measured;
mod messages;
mod prediction;

pub use course::LogCourse;
pub use estimates::{PathEstimate, RecipeFit};
pub use fitting::{RecipeFitOptions, fit_recipe};
pub use measured::{ColumnErrors, Measured};
pub use prediction::Prediction;
