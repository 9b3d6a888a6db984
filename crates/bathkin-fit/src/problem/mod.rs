//! What is to be learned, and from what: sheets of data, free numbers of a recipe, errors, residuals.
//!
//! | piece | what it is |
//! | --- | --- |
//! | [`sheet`] | columns of numbers as a reader hands them over |
//! | [`question`] | which numbers are free, tied or grouped; which sheets are runs and which logs |
//! | [`error_model`] | how errors of a column are distributed |
//! | [`model`] | the residuals, with slopes through equilibrium, rates, integration and additions |

pub(crate) mod case;
pub mod error_model;
pub(crate) mod evaluation_cache;
pub mod free;
pub(crate) mod grain;
pub mod model;
pub mod question;
pub mod sheet;
pub(crate) mod tables;
pub(crate) mod variant;

pub use error_model::{ErrorModel, Observation};
pub use free::{FreeParameter, ParameterScale};
pub use model::{Column, RecipeModel};
pub use question::{Data, Question, Tie};
pub use sheet::{DataError, Sheet};
