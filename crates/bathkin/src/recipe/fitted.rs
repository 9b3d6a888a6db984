//! A recipe written again with fitted numbers.

use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, TableLike, Value as Toml};

use super::{Recipe, Value};
use crate::error::{Error, Place, Result};

impl Recipe {
    /// This recipe with numbers of kind `fitted`, (path, value, source), written into its text; so are
    /// the overrides. Ranges stay, and comments of the document too.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// use bathkin::solution::Kind;
    ///
    /// let path = "deposition.activation_energy_kj_mol".to_owned();
    /// let fitted = Recipe::built_in("nickel-acid")?.with_fitted(&[(path, 61.5, "12 runs".to_owned())])?;
    /// let again = Recipe::from_toml("fitted.toml", fitted.text())?;
    /// let entry = again.document().get("deposition.activation_energy_kj_mol").expect("it is set");
    /// assert_eq!(entry.source.as_ref().map(|source| source.kind), Some(Kind::Fitted));
    /// assert_eq!(entry.range, Some((35.0, 95.0)));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Document`] when a path goes through something that is no table; those of
    /// [`Recipe::from_toml`].
    pub fn with_fitted(&self, numbers: &[(String, f64, String)]) -> Result<Recipe> {
        let file = &self.document().file;
        let refuse =
            |reason: String| Error::Document { place: Place { file: file.clone(), line: None }, reason };
        let mut text: DocumentMut =
            self.text().parse().map_err(|error: toml_edit::TomlError| refuse(error.message().to_owned()))?;
        let mut put = |path: &str, value: Toml, source: Option<&str>| {
            lay(text.as_table_mut(), path, value, source)
                .ok_or_else(|| refuse(format!("{path} goes through a value that is no table")))
        };
        for (path, value) in self.overrides() {
            let plain = match value {
                Value::Number(number) => Toml::from(*number),
                Value::Text(text) => Toml::from(text.as_str()),
                Value::Flag(flag) => Toml::from(*flag),
                Value::List(list) => Toml::Array(list.iter().map(String::as_str).collect::<Array>()),
            };
            put(path, plain, None)?;
        }
        for (path, value, source) in numbers {
            put(path, Toml::from(*value), Some(source))?;
        }
        Recipe::from_toml(file, &text.to_string())
    }
}

/// Puts a value at a path, with the range that stands there; tables that are missing are made.
fn lay(table: &mut dyn TableLike, path: &str, value: Toml, source: Option<&str>) -> Option<()> {
    if let Some((first, rest)) = path.split_once('.') {
        let mut missing = Table::new();
        missing.set_implicit(true);
        let inner = table.entry(first).or_insert(Item::Table(missing));
        return lay(inner.as_table_like_mut()?, rest, value, source);
    }
    let standing = table.get(path).and_then(Item::as_inline_table);
    let range = standing.and_then(|standing| standing.get("range")).cloned();
    if source.is_none() && range.is_none() {
        table.insert(path, Item::Value(value));
        return Some(());
    }
    let mut attributed = InlineTable::new();
    attributed.insert("value", value);
    if let Some(range) = range {
        attributed.insert("range", range);
    }
    if let Some(source) = source {
        attributed.insert("kind", Toml::from("fitted"));
        attributed.insert("source", Toml::from(source));
    }
    table.insert(path, Item::Value(Toml::InlineTable(attributed)));
    Some(())
}
