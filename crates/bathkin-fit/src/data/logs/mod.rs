//! Bath logs: a tank that follows what was written down, and what its readings say.

mod at_once;
mod check;
mod collect;
pub mod columns;
pub(crate) mod course;
mod doubts;
mod empty;
mod evenly;
mod heat;
mod log_doubt;
mod logged_bath;
mod measured_ph;
mod used;
mod work;

pub use check::{LogCheck, LogColumn, check_log};
pub(crate) use collect::collect;
pub use empty::{EmptyColumn, empty_log};
pub use log_doubt::LogDoubt;
pub(crate) use logged_bath::LoggedBath;
pub(crate) use measured_ph::MeasuredPh;
pub(crate) use used::UsedBath;
pub(crate) use work::WorkSource;
