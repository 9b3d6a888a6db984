//! Bath logs: a tank that follows what was written down, and what its readings say.

pub mod columns;
mod course;
mod logged;

pub(crate) use logged::{LoggedBath, collect};
