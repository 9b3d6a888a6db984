//! The fit itself: starts, the Jacobian, error variances, priors.

pub(crate) mod chord;
pub(crate) mod error_scale;
pub(crate) mod fitting;
pub(crate) mod fused_jacobian;
pub(crate) mod prior;
pub(crate) mod starts;
pub(crate) mod with_priors;

pub use fitting::{RecipeFitOptions, fit_recipe};
pub use prior::{Prior, PriorShare};
