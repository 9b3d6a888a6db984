//! The document: TOML as dotted paths with their places, read key by key until nothing is left unread, and tables.

pub mod declaration;
pub mod declared;
pub mod digest;
pub mod entries;
pub mod history;
mod paths;
pub mod reader;
pub mod slot;
pub mod table;
pub mod units;
pub mod value;

pub use declaration::{Bounds, Declaration, Dependence, ParameterScale, Role};
pub use digest::Digest;
pub use entries::{Document, Entry};
pub use history::{History, Layer};
pub(crate) use paths::below;
pub use slot::{ParameterId, Slot};
pub use units::Unit;
pub use value::Value;
