//! What there is to learn from: sheets of numbers, coupon runs, bath logs, and how the errors of a column are distributed.

pub mod error_model;
pub mod logs;
pub mod runs;
pub mod sheet;
pub(crate) mod tables;

pub use error_model::{ErrorModel, Observation};
pub use sheet::{DataError, Sheet};
