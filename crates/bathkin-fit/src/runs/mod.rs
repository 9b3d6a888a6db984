//! Coupon runs fitted to a recipe: any numbers of it free, predicted as the bath itself predicts.
//!
//! | piece | what it does |
//! | --- | --- |
//! | [`Runs`] | the table: columns by name, a row per coupon |
//! | [`RunModel`] | its residuals over a recipe with free paths |
//! | [`fit_runs`] | the fit, with remarks on what the runs cannot tell |
//!
//! A run is predicted by [`Bath::plate`](bathkin::Bath::plate) where its area is known: the bath, of the
//! volume in `tank.volume_l`, is left alone with the coupon. Without an area it is rate x time.

mod estimates;
mod messages;
mod model;
mod settings;
mod table;

pub use estimates::{PathEstimate, Prediction, RunFit, RunFitOptions, fit_runs};
pub use model::{ErrorModel, ParameterScale, RunModel};
pub use table::{Quantity, Runs, RunsError};
