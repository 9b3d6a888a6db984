//! Where a number comes from.

use serde::Serialize;

/// How far a number is backed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
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
    /// Invented for a demonstration.
    Invented,
    /// Set by the user.
    User,
}

impl Kind {
    /// Names accepted in a recipe.
    pub const NAMES: [&str; 7] =
        ["published", "standard", "common-practice", "from-memory", "fitted", "computed", "invented"];

    /// Reads a kind as written in a document.
    pub fn parse(text: &str) -> Option<Self> {
        Some(match text {
            "published" => Kind::Published,
            "standard" => Kind::Standard,
            "common-practice" => Kind::CommonPractice,
            "from-memory" => Kind::FromMemory,
            "fitted" => Kind::Fitted,
            "computed" => Kind::Computed,
            "invented" => Kind::Invented,
            _ => return None,
        })
    }
}

/// The source of a number, as shown with it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Reference or explanation.
    pub text: String,
    /// How far it is backed.
    pub kind: Kind,
}
