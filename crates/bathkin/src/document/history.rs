//! Who set a value of a document: the built-in recipe below it, the recipe itself, or its user.

use crate::document::Value;

/// Whose statement a value is; each is laid over the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// The built-in recipe named by `base`.
    Base,
    /// The recipe that was read.
    Own,
    /// A change made since: `--set`, `--vary`, `Recipe.set`.
    User,
}

/// What happened to a value.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// Who named it first.
    pub first: Layer,
    /// Who set it last.
    pub last: Layer,
    /// What the layers below the last one say.
    pub inherited: Option<Value>,
}

impl History {
    /// A value that stands alone.
    pub fn new(layer: Layer) -> Self {
        History { first: layer, last: layer, inherited: None }
    }

    /// The same after it took the place of another.
    pub(crate) fn over(self, of: &History, value: &Value) -> Self {
        let inherited = if of.last < self.last { Some(value.clone()) } else { of.inherited.clone() };
        History { first: of.first.min(self.first), inherited, ..self }
    }
}
