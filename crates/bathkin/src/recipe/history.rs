//! Who set a value of a document: the built-in recipe below it, the recipe itself, or its user.

use super::document::{Entry, Value};

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
    pub(super) fn over(self, below: &Entry) -> Self {
        let of = &below.history;
        let inherited = if of.last < self.last { Some(below.value.clone()) } else { of.inherited.clone() };
        History { first: of.first.min(self.first), inherited, ..self }
    }
}

impl Entry {
    /// True when the layer that set this last has not named the other at all.
    pub(super) fn is_set_above(&self, other: &Entry) -> bool {
        self.history.last > other.history.last
    }

    /// True when this is something new above a value that was only inherited.
    pub(super) fn is_added_above(&self, other: &Entry) -> bool {
        self.history.first > other.history.last
    }
}
