//! Every value of a recipe with where it comes from.

use schemars::JsonSchema;
use serde::Serialize;

use crate::document::Value;
use crate::recipe::Recipe;
use crate::source::Kind;

/// A value of a recipe.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "Entry")]
pub struct RecipeValue<'a> {
    /// Dotted path, with the unit at its end.
    pub path: &'a str,
    /// Number, string, true/false or list of strings.
    pub value: &'a Value,
    /// Where it comes from.
    pub source: Option<&'a str>,
    /// How far it is backed.
    pub kind: Option<Kind>,
    /// Range the author vouches for.
    pub range: Option<(f64, f64)>,
    /// File and line, or what set it.
    pub place: String,
}

impl Recipe {
    /// Every value with its path, source, kind, range and place, in the order of the document.
    pub fn values(&self) -> Vec<RecipeValue<'_>> {
        let entries = self.document.entries().iter();
        entries
            .map(|entry| RecipeValue {
                path: &entry.path,
                value: &entry.value,
                source: entry.source.as_ref().map(|source| source.text.as_str()),
                kind: entry.source.as_ref().map(|source| source.kind),
                range: entry.range,
                place: entry.place.to_string(),
            })
            .collect()
    }
}
