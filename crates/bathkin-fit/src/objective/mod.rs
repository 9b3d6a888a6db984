//! What a fit makes small: free parameters of a recipe, and the residuals of data laid over it.

pub(crate) mod accuracy;
pub(crate) mod case;
pub(crate) mod evaluation_cache;
pub mod free;
pub mod question;
pub mod residuals;
pub(crate) mod variant;

pub use free::{FreeParameter, ParameterScale};
pub use question::{Data, Question, Tie};
pub use residuals::{Column, RecipeModel};
