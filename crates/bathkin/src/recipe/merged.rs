//! A recipe as one document: its base, its own lines, and what was changed since.

use toml_edit::{Array, InlineTable, Key, Value as Toml};

use crate::document::{Entry, Value};
use crate::model::calendar::CALENDAR;
use crate::recipe::Recipe;

/// The key of what a document stands on, which is in it when it is merged.
const BASE: &str = "base";

impl Recipe {
    /// The whole recipe as TOML, a line `path = value` each in the order of the document, with kinds, sources
    /// and ranges: what the run saw, whatever a later version has built in. A calendar is named without its
    /// folder.
    ///
    /// ```
    /// use bathkin::{Recipe, Value};
    /// let recipe = Recipe::built_in("nickel-acid")?.with("tank.volume_l", Value::Number(300.0), "example");
    /// assert!(Recipe::from_toml("again.toml", &recipe.merged())? == recipe);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn merged(&self) -> String {
        let entries = self.document().entries().iter().filter(|entry| entry.path != BASE);
        entries.map(|entry| format!("{} = {}\n", key(&entry.path), attributed(entry))).collect()
    }
}

fn key(path: &str) -> String {
    path.split('.').map(|part| Key::new(part).to_string()).collect::<Vec<_>>().join(".")
}

fn plain(entry: &Entry) -> Toml {
    match &entry.value {
        Value::Number(number) => Toml::from(*number),
        Value::Text(text) if entry.path == CALENDAR => {
            Toml::from(text.rsplit(['/', '\\']).next().unwrap_or(text))
        }
        Value::Text(text) => Toml::from(text.as_str()),
        Value::Flag(flag) => Toml::from(*flag),
        Value::List(list) => Toml::Array(list.iter().map(String::as_str).collect::<Array>()),
    }
}

/// The value, in a table with what is known about it.
fn attributed(entry: &Entry) -> Toml {
    // What the user set has no source to tell; it keeps its range.
    let source = entry.source.as_ref().and_then(|source| Some((source.kind.name()?, source.text.as_str())));
    let value = plain(entry);
    if source.is_none() && entry.range.is_none() {
        return value;
    }
    let mut table = InlineTable::new();
    table.insert("value", value);
    if let Some((kind, text)) = source {
        table.insert("kind", Toml::from(kind));
        table.insert("source", Toml::from(text));
    }
    if let Some((low, high)) = entry.range {
        table.insert("range", Toml::Array([low, high].into_iter().collect::<Array>()));
    }
    Toml::InlineTable(table)
}
