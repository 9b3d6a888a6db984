//! What a column of runs sets.

/// What a column sets: the path, and what its numbers are multiplied by.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Setting {
    pub column: String,
    pub path: String,
    pub factor: f64,
    /// The salt that brings a component which the make-up has none of.
    pub salt: Option<Salt>,
}

/// A salt that a make-up does not have, taken to bring a component.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Salt {
    pub component: String,
    pub title: String,
}
