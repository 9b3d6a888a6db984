//! A recipe written again with fitted numbers.

use crate::document::reader::Reader;
use crate::model::fit_record::read_fit_record;
use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, TableLike, Value as Toml};

use crate::document::Value;
use crate::error::{Error, Place, Result};
use crate::model::fit_record::FitRecord;
use crate::recipe::Recipe;

impl Recipe {
    /// This recipe with numbers of kind `fitted`, (path, value, source), written into its text; so are
    /// the overrides, and the record of the fit in place of an older one. Ranges stay, and comments of the
    /// document too.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// use bathkin::source::Kind;
    ///
    /// let path = "deposition.activation_energy_kj_mol".to_owned();
    /// let numbers = [(path, 61.5, "12 runs".to_owned())];
    /// let fitted = Recipe::built_in("nickel-acid")?.with_fitted(&numbers, None)?;
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
    pub fn with_fitted(
        &self,
        numbers: &[(String, f64, String)],
        record: Option<&FitRecord>,
    ) -> Result<Recipe> {
        let mut text = self.text_with_overrides()?;
        for (path, value, source) in numbers {
            self.put(&mut text, path, Toml::from(*value), Some(source))?;
        }
        text.remove("fit");
        if let Some(record) = record {
            text.insert("fit", Item::Table(table_of(record)));
        }
        Recipe::from_toml(&self.document().file, &text.to_string())
    }

    /// This recipe with its overrides written into its text, so that the text is all of it. Ranges and comments stay.
    ///
    /// ```
    /// use bathkin::{Recipe, Value};
    ///
    /// let hotter = Recipe::built_in("nickel-acid")?.with("operation.temperature_c", Value::Number(90.0), "example");
    /// let again = Recipe::from_toml("hotter.toml", hotter.written()?.text())?;
    /// assert_eq!(again.document().get("operation.temperature_c").expect("it is set").value, Value::Number(90.0));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Recipe::with_fitted`].
    pub fn written(&self) -> Result<Recipe> {
        Recipe::from_toml(&self.document().file, &self.text_with_overrides()?.to_string())
    }

    fn refuse(&self, reason: String) -> Error {
        Error::Document { place: Place { file: self.document().file.clone(), line: None }, reason }
    }

    fn put(&self, text: &mut DocumentMut, path: &str, value: Toml, source: Option<&str>) -> Result<()> {
        let laid = lay(text.as_table_mut(), path, value, source);
        laid.ok_or_else(|| self.refuse(format!("{path} goes through a value that is no table")))
    }

    fn text_with_overrides(&self) -> Result<DocumentMut> {
        let parsed = self.text().parse();
        let mut text: DocumentMut =
            parsed.map_err(|error: toml_edit::TomlError| self.refuse(error.message().to_owned()))?;
        for (path, value) in self.overrides() {
            let plain = match value {
                Value::Number(number) => Toml::from(*number),
                Value::Text(text) => Toml::from(text.as_str()),
                Value::Flag(flag) => Toml::from(*flag),
                Value::List(list) => Toml::Array(list.iter().map(String::as_str).collect::<Array>()),
            };
            self.put(&mut text, path, plain, None)?;
        }
        Ok(text)
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

/// The table of a record.
fn table_of(record: &FitRecord) -> Table {
    // Shortest digits that read back to the last bit.
    let exact = |number: &f64| format!("{number:e}");
    let texts = |texts: Vec<String>| Toml::Array(texts.into_iter().collect::<Array>());
    let row = |row: &Vec<f64>| row.iter().map(exact).collect::<Vec<_>>().join(" ");
    let scale = |log: &bool| if *log { "log" } else { "linear" }.to_owned();
    let ties = record.ties.iter().map(|tie| format!("{} {} {}", tie.path, tie.to, exact(&tie.factor)));
    let whole = |number: usize| Toml::from(i64::try_from(number).unwrap_or(i64::MAX));
    let mut table = Table::new();
    let mut put = |key: &str, value: Toml| table.insert(key, Item::Value(value));
    put("data", texts(record.data.clone()));
    put("digest", Toml::from(record.digest.as_str()));
    put("values", whole(record.values));
    put("error_model", texts(record.error_model.clone()));
    if let Some(freedom) = record.degrees_of_freedom {
        put("degrees_of_freedom", whole(freedom));
    }
    put("paths", texts(record.paths.clone()));
    put("scales", texts(record.by_logarithm.iter().map(scale).collect()));
    put("estimates", texts(record.estimates.iter().map(exact).collect()));
    if !record.ties.is_empty() {
        put("ties", texts(ties.collect()));
    }
    let mut rows: Array = record.covariance.iter().map(row).collect();
    rows.iter_mut().for_each(|row| row.decor_mut().set_prefix("\n    "));
    rows.set_trailing("\n");
    put("covariance", Toml::Array(rows));
    table
}

impl Recipe {
    /// The record of the fit that its numbers came out of; `None` for a recipe that was not fitted.
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] with the key where the record does not fit together.
    pub fn fit_record(&self) -> Result<Option<FitRecord>> {
        read_fit_record(&Reader::new(self.document()))
    }
}
