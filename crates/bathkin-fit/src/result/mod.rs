//! The fit of a recipe in its own numbers: estimates, intervals, predictions, the fitted recipe, the posterior for samplers.

pub(crate) mod course;
pub(crate) mod intervals;
pub(crate) mod measured;
pub(crate) mod posterior;
pub(crate) mod prediction;
pub(crate) mod recipe_fit;
pub(crate) mod record;
pub(crate) mod unvaried;

pub use course::LogCourse;
pub use measured::{ColumnErrors, Measured};
pub use prediction::Prediction;
pub use recipe_fit::{PathEstimate, RecipeFit};
pub use record::digest;
