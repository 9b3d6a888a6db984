//! A remark.

use serde::Serialize;

/// A remark with a code programs can act on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Message {
    /// Code.
    pub code: &'static str,
    /// Text.
    pub text: String,
}
