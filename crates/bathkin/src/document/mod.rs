//! The document: TOML as dotted paths with their places, read key by key until nothing is left unread, and tables.

pub mod entries;
pub mod history;
pub mod reader;
pub mod table;
pub mod value;

pub use entries::{Document, Entry};
pub use history::{History, Layer};
pub use value::Value;
