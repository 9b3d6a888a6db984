//! Reading a document: every value asked for by name, checked, and nothing left over.

use crate::flag::Flag;
use std::cell::RefCell;
use std::collections::BTreeSet;

use crate::document::{Document, Entry, Layer, Value};
use crate::error::{Error, Place, Result};
use bathkin_numerics::short;

/// What stands for a number that is left out.
const OFF: &str = "off";

/// What a number must be.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    low: f64,
    high: f64,
    low_open: bool,
    what: &'static str,
}

impl Bounds {
    /// Any finite number.
    pub const ANY: Bounds = Bounds::between(f64::MIN, f64::MAX, "a number");
    /// Greater than zero.
    pub const POSITIVE: Bounds =
        Bounds { low: 0.0, high: f64::MAX, low_open: true, what: "a number above zero" };
    /// Hours between two of something: below a second nobody does anything, and a life would not come to its end.
    pub const INTERVAL_H: Bounds =
        Bounds::between(1.0 / 3600.0, f64::MAX, "a second or more: at least 0.000278 hours");
    /// Turnovers between two of something.
    pub const INTERVAL_TURNOVERS: Bounds =
        Bounds::between(1e-4, f64::MAX, "a ten-thousandth of a turnover or more");
    /// Zero or more.
    pub const NOT_NEGATIVE: Bounds = Bounds::between(0.0, f64::MAX, "zero or more");

    /// From `low` to `high`, both allowed.
    pub const fn between(low: f64, high: f64, what: &'static str) -> Self {
        Bounds { low, high, low_open: false, what }
    }

    fn allow(&self, number: f64) -> bool {
        (if self.low_open { number > self.low } else { number >= self.low }) && number <= self.high
    }
}

/// Reads a document and remembers what was asked for.
pub struct Reader<'a> {
    document: &'a Document,
    asked: RefCell<BTreeSet<String>>,
    flags: RefCell<Vec<Flag>>,
}

impl<'a> Reader<'a> {
    /// A reader of a document.
    pub fn new(document: &'a Document) -> Self {
        Reader { document, asked: RefCell::default(), flags: RefCell::default() }
    }

    /// The document.
    pub fn document(&self) -> &'a Document {
        self.document
    }

    /// The entry at a path, if there.
    pub fn entry(&self, path: &str) -> Option<&'a Entry> {
        self.asked.borrow_mut().insert(path.to_owned());
        self.document.get(path)
    }

    /// True when a value is `"off"`: to be read as if it were not there.
    pub fn is_off(&self, path: &str) -> bool {
        matches!(self.entry(path), Some(Entry { value: Value::Text(text), .. }) if text == OFF)
    }

    /// True when an entry was set or added by the user, or by the recipe above the one it is based on.
    pub fn is_changed(&self, path: &str) -> bool {
        let based = self.document.get("base").is_some();
        self.entry(path).is_some_and(|entry| match entry.history.last {
            Layer::Base => false,
            Layer::Own => based,
            Layer::User => true,
        })
    }

    /// Passes over everything in a table that is switched off.
    pub fn pass_over(&self, table: &str) {
        for entry in self.document.under(table) {
            self.entry(&entry.path);
        }
    }

    /// A number, if there and not `"off"`.
    ///
    /// # Errors
    /// [`Error::Recipe`] for a wrong type or an impossible value.
    pub fn optional(&self, path: &str, bounds: Bounds) -> Result<Option<f64>> {
        let Some(entry) = self.entry(path) else { return Ok(None) };
        if self.is_off(path) {
            return Ok(None);
        }
        let Value::Number(number) = entry.value else {
            return Err(wrong(entry, bounds.what, text_hint(entry)));
        };
        if !bounds.allow(number) {
            return Err(wrong(entry, bounds.what, reading_hint(path, number)));
        }
        if let Some((low, high)) = entry.range
            && !(low..=high).contains(&number)
        {
            self.flag(
                path,
                format!(
                    "{} is outside {} to {}, the range this recipe was made for: extrapolated",
                    short(number),
                    short(low),
                    short(high)
                ),
            );
        }
        Ok(Some(number))
    }

    /// A number that must be there.
    ///
    /// # Errors
    /// As [`Reader::optional`], and when it is missing.
    pub fn number(&self, path: &str, bounds: Bounds) -> Result<f64> {
        let needed = "a number this recipe cannot do without: only what may be left out can be off";
        match self.optional(path, bounds)? {
            Some(number) => Ok(number),
            None if self.is_off(path) => Err(self.refuse(path, bounds.what, Some(needed.to_owned()))),
            None => Err(self.missing(path, bounds.what)),
        }
    }

    /// A number, or a default when it is not there.
    ///
    /// # Errors
    /// As [`Reader::optional`].
    pub fn number_or(&self, path: &str, bounds: Bounds, default: f64) -> Result<f64> {
        let number = self.optional(path, bounds)?;
        if number.is_none() && default != 0.0 && default.is_finite() && self.is_off(path) {
            self.flag(path, format!("off means the default here, {default}"));
        }
        Ok(number.unwrap_or(default))
    }

    /// A text, if there.
    ///
    /// # Errors
    /// [`Error::Recipe`] for a wrong type.
    pub fn optional_text(&self, path: &str) -> Result<Option<&'a str>> {
        match self.entry(path) {
            None => Ok(None),
            Some(Entry { value: Value::Text(text), .. }) => Ok(Some(text)),
            Some(entry) => Err(wrong(entry, "a text", None)),
        }
    }

    /// A text that must be there.
    ///
    /// # Errors
    /// As [`Reader::optional_text`], and when it is missing.
    pub fn text(&self, path: &str) -> Result<&'a str> {
        self.optional_text(path)?.ok_or_else(|| self.missing(path, "a text"))
    }

    /// One of a few words, or the first of them when it is not there.
    ///
    /// # Errors
    /// [`Error::Recipe`] for another word.
    pub fn choice<T: Copy>(&self, path: &str, choices: &[(&str, T)]) -> Result<T> {
        let Some(text) = self.optional_text(path)? else { return Ok(choices[0].1) };
        choices.iter().find(|(name, _)| *name == text).map(|(_, value)| *value).ok_or_else(|| {
            let names: Vec<&str> = choices.iter().map(|(name, _)| *name).collect();
            self.refuse(path, &format!("one of {}", names.join(", ")), None)
        })
    }

    /// True or false, with a default.
    ///
    /// # Errors
    /// [`Error::Recipe`] for a wrong type.
    pub fn truth_or(&self, path: &str, default: bool) -> Result<bool> {
        match self.entry(path) {
            None => Ok(default),
            Some(Entry { value: Value::Flag(flag), .. }) => Ok(*flag),
            Some(entry) => Err(wrong(entry, "true or false", None)),
        }
    }

    /// A list of texts, empty when it is not there.
    ///
    /// # Errors
    /// [`Error::Recipe`] for a wrong type.
    pub fn list(&self, path: &str) -> Result<Vec<String>> {
        match self.entry(path) {
            None => Ok(Vec::new()),
            Some(Entry { value: Value::List(list), .. }) => Ok(list.clone()),
            Some(entry) => Err(wrong(entry, "a list of texts", None)),
        }
    }

    /// Name and number of every direct child of a table that is not `"off"`.
    ///
    /// # Errors
    /// As [`Reader::optional`].
    pub fn numbers_under(&self, table: &str, bounds: Bounds) -> Result<Vec<(String, f64)>> {
        let names = self.document.children(table);
        names
            .into_iter()
            .filter(|name| !self.is_off(&format!("{table}.{name}")))
            .map(|name| {
                let number = self.number(&format!("{table}.{name}"), bounds)?;
                Ok((name, number))
            })
            .collect()
    }

    /// Notes a doubt.
    pub fn flag(&self, place: &str, what: String) {
        self.flags.borrow_mut().push(Flag { r#where: place.to_owned(), what });
    }

    /// Where an entry or a table stands, or the file when it is not there.
    pub fn place(&self, path: &str) -> Place {
        let found = self.document.get(path).or_else(|| self.inside(path));
        found.map_or_else(
            || Place { file: self.document.file.clone(), line: None },
            |entry| entry.place.clone(),
        )
    }

    /// The first entry of a table.
    fn inside(&self, table: &str) -> Option<&'a Entry> {
        self.document.under(table).into_iter().next()
    }

    /// An error about the value at a path.
    pub fn refuse(&self, path: &str, expected: &str, hint: Option<String>) -> Error {
        let value = match (self.document.get(path), self.inside(path)) {
            (Some(entry), _) => entry.value.to_string(),
            (None, Some(_)) => "(this table)".to_owned(),
            (None, None) => "(missing)".to_owned(),
        };
        Error::Recipe {
            place: self.place(path),
            key: path.to_owned(),
            value,
            expected: expected.to_owned(),
            hint,
        }
    }

    /// An error about a missing value; points at a like-sounding key that is there.
    fn missing(&self, path: &str, expected: &str) -> Error {
        const ALIKE: f64 = 0.9;
        let asked = self.asked.borrow();
        let alike = self
            .document
            .entries()
            .iter()
            .filter(|entry| !asked.contains(&entry.path))
            .find(|entry| strsim::jaro_winkler(&entry.path, path) > ALIKE);
        let hint =
            alike.map(|entry| format!("{} at {} is not a known key: was it meant?", entry.path, entry.place));
        self.refuse(path, expected, hint)
    }

    /// Ends the reading: nothing may be left that was not asked for.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for the first key nobody asked for.
    pub fn finish(self) -> Result<Vec<Flag>> {
        let asked = self.asked.into_inner();
        match self.document.entries().iter().find(|entry| !asked.contains(&entry.path)) {
            None => Ok(self.flags.into_inner()),
            Some(entry) => Err(Error::unknown_name(
                entry.place.clone(),
                "key",
                &entry.path,
                asked.iter().map(String::as_str),
            )),
        }
    }
}

fn wrong(entry: &Entry, expected: &str, hint: Option<String>) -> Error {
    Error::Recipe {
        place: entry.place.clone(),
        key: entry.path.clone(),
        value: entry.value.to_string(),
        expected: expected.to_owned(),
        hint,
    }
}

fn text_hint(entry: &Entry) -> Option<String> {
    matches!(entry.value, Value::Text(_)).then(|| "a number in the unit that ends the name".to_owned())
}

/// The two readings of a temperature that is too high for a bath in degC.
fn reading_hint(path: &str, number: f64) -> Option<String> {
    let celsius = (number - 32.0) / 1.8;
    (path.ends_with("temperature_c") && (0.0..=100.0).contains(&celsius)).then(|| {
        let number = short(number);
        format!("{number} degF would be {celsius:.1} degC; {number} degC is above the boiling point of water")
    })
}
