//! Where a number comes from.

use schemars::JsonSchema;
use serde::Serialize;

/// How far a number is backed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Printed in a publication that is named.
    Published,
    /// Laid down in a standard that is named.
    Standard,
    /// Common practice of the trade, no source.
    CommonPractice,
    /// Recalled without the text at hand.
    FromMemory,
    /// Fitted to data.
    Fitted,
    /// Computed from other numbers that have a source.
    Computed,
    /// Estimated by analogy with a named neighbour or from a reaction alike.
    Estimated,
    /// Read in a compilation that names no author, title or year for it.
    ReadUntraceable,
    /// Invented for a demonstration.
    Invented,
    /// Set by the user.
    User,
}

impl Kind {
    /// Names accepted in a recipe.
    pub const NAMES: [&str; 9] = [
        "published",
        "standard",
        "common-practice",
        "from-memory",
        "fitted",
        "computed",
        "estimated",
        "read-untraceable",
        "invented",
    ];

    const NAMED: [Kind; 9] = [
        Kind::Published,
        Kind::Standard,
        Kind::CommonPractice,
        Kind::FromMemory,
        Kind::Fitted,
        Kind::Computed,
        Kind::Estimated,
        Kind::ReadUntraceable,
        Kind::Invented,
    ];

    /// Reads a kind as written in a document.
    pub fn parse(text: &str) -> Option<Self> {
        Kind::NAMES.iter().position(|name| *name == text).map(|at| Kind::NAMED[at])
    }

    /// The name as written in a document; `None` for what the user set, which no document says.
    pub fn name(self) -> Option<&'static str> {
        Kind::NAMED.iter().position(|kind| *kind == self).map(|at| Kind::NAMES[at])
    }
}

/// The source of a number, as shown with it.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
pub struct Source {
    /// Reference or explanation.
    #[serde(rename = "source")]
    pub text: String,
    /// How far it is backed.
    pub kind: Kind,
}
