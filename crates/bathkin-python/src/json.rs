//! Results as JSON text.

use serde::Serialize;

/// A JSON text from anything that serialises; what cannot be written becomes null.
pub fn json(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_else(|_| "null".to_owned())
}
