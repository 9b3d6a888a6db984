//! A remark.

use schemars::JsonSchema;
use serde::Serialize;

/// A remark with a code programs can act on.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
pub struct Remark {
    /// Code.
    pub code: &'static str,
    /// Text.
    pub text: String,
}
