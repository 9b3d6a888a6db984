//! How equations are written.

use crate::error::{Error, Place, Result};

/// How equations are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, schemars::JsonSchema, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Notation {
    /// For a terminal: `Ni+2 + 2 e- -> Ni`.
    Text,
    /// Markdown with LaTeX between dollar signs.
    Markdown,
    /// LaTeX alone.
    Latex,
}

impl Notation {
    const NAMED: [(&str, Notation); 3] =
        [("text", Notation::Text), ("markdown", Notation::Markdown), ("latex", Notation::Latex)];

    /// By its name: `text`, `markdown` or `latex`.
    ///
    /// # Errors
    /// [`Error::UnknownName`] with those names.
    pub fn named(name: &str) -> Result<Self> {
        let found = Notation::NAMED.iter().find(|(known, _)| *known == name);
        found.map(|(_, notation)| *notation).ok_or_else(|| {
            let place = Place { file: "equations".to_owned(), line: None };
            Error::unknown_name(place, "notation", name, Notation::NAMED.map(|(known, _)| known))
        })
    }
}
