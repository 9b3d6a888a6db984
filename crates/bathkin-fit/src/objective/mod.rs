//! What a fit makes small: free parameters of a recipe, and the residuals of data laid over it.

pub(crate) mod accuracy;
pub(crate) mod at_point;
pub(crate) mod description;
pub(crate) mod evaluation_cache;
pub mod free;
pub(crate) mod replay;
pub mod residuals;
pub mod specification;
pub(crate) mod values;

pub use free::{FreeParameter, ParameterScale};
pub use residuals::RecipeModel;
pub use specification::{FitSpecification, Tie};
