//! Bath logs: a tank that follows what was written down, and what its readings say.

pub mod columns;
mod course;
mod heat;
mod logged;
mod work;

pub(crate) use logged::{LoggedBath, collect};
pub(crate) use work::Told;
