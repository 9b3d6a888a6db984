//! From the recipe's numbers to the minimum: starts, bounds, the search, error variances, priors.

pub(crate) mod bounds;
pub(crate) mod chord;
pub(crate) mod error_scale;
pub(crate) mod fitting;
pub(crate) mod fused_jacobian;
pub(crate) mod grouped;
pub(crate) mod options;
pub(crate) mod other_errors;
pub(crate) mod prior;
pub(crate) mod search;
pub(crate) mod starts;
pub(crate) mod widths;
pub(crate) mod with_priors;

pub use options::RecipeFitOptions;
pub use prior::{Prior, PriorWeight};
pub use widths::{NumberWidth, widths};
