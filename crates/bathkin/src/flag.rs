//! Warnings that go with results.

/// A warning that goes with a result.
#[derive(Debug, Clone, PartialEq, Eq, schemars::JsonSchema, serde::Serialize)]
pub struct Flag {
    /// Path or part of the model.
    pub r#where: String,
    /// What is doubtful.
    pub what: String,
}
