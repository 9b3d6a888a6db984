//! The fit of a recipe to data, in the recipe's own numbers.
//!
//! | piece | what it does |
//! | --- | --- |
//! | [`fit_recipe`] | the fit |
//! | [`RecipeFit`] | its answers: estimates, intervals, correlations, profiles, predictions, the fitted recipe |

mod chord;
mod estimates;
mod fitting;
mod messages;
mod prediction;
mod sizes;

pub use estimates::{PathEstimate, RecipeFit};
pub use fitting::{RecipeFitOptions, fit_recipe};
pub use prediction::Prediction;
