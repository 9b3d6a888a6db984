//! What there is to learn from: sheets of numbers, coupon runs, bath logs, and how the errors of a column are distributed.

pub(crate) mod cases;
pub(crate) mod collected;
pub(crate) mod digest;
pub mod error_model;
pub mod logs;
pub(crate) mod rows;
pub mod runs;
pub mod sheet;

pub use digest::digest;
pub use error_model::{ErrorModel, Observation};
pub use logs::{EmptyColumn, LogCheck, LogColumn, LogDoubt, check_log, empty_log};
pub use rows::Column;
pub use sheet::{Data, Sheet};
