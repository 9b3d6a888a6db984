//! Reading a document: every value asked for by name, checked, and nothing left over.

mod asked;
mod texts;

use crate::flag::Flag;
use std::cell::{Cell, RefCell};

use crate::document::declaration::Declaration;
pub(crate) use crate::document::declaration::{Bounds, Role};
use crate::document::declared::{Chapter, Declared, Found, Words};
use crate::document::reader::asked::Asked;
use crate::document::slot::{ParameterId, Slot};
use crate::document::{Document, Entry, Layer, Value, below};
use crate::error::{Error, Place, Result};
use bathkin_numerics::short;

/// What stands for a number that is left out.
const OFF: &str = "off";

/// Reads a document and remembers what was asked for.
pub struct Reader<'a> {
    document: &'a Document,
    /// What was asked for; a second reading of a document that holds the same paths does not keep it.
    asked: Option<Asked>,
    /// Numbers known from a first reading.
    before: Option<&'a Declared>,
    found: RefCell<Found>,
    chapter: Cell<Chapter>,
    role: Cell<Role>,
}

impl<'a> Reader<'a> {
    /// A reader of a document.
    pub fn new(document: &'a Document) -> Self {
        Reader {
            document,
            asked: Some(Asked::of(document.entries().len())),
            before: None,
            found: RefCell::default(),
            chapter: Cell::default(),
            role: Cell::new(Role::Format),
        }
    }

    /// A reader of a document that differs from one that was read by some of its numbers alone.
    pub fn again(document: &'a Document, before: &'a Declared) -> Self {
        Reader { asked: None, before: Some(before), ..Reader::new(document) }
    }

    /// What is read from here on stands in a chapter and has a role.
    pub fn begin(&self, chapter: Chapter, role: Role) {
        self.chapter.set(chapter);
        self.role.set(role);
    }

    /// What is read from here on has a role.
    pub fn role(&self, role: Role) {
        self.role.set(role);
    }

    /// The numbers that were asked for so far, or in the first reading.
    pub fn id(&self, path: &str) -> Option<ParameterId> {
        self.before.map_or_else(|| self.found.borrow().declared.id(path), |before| before.id(path))
    }

    fn declare(&self, path: &str, bounds: Bounds, default: Option<f64>, slot: bool) {
        if self.before.is_none() {
            let declaration =
                || Declaration { path: path.to_owned(), bounds, default, role: self.role.get() };
            self.found.borrow_mut().declared.note(path, declaration, self.chapter.get(), slot);
        }
    }

    fn declare_words(&self, path: &str, words: impl FnOnce() -> Words) {
        if self.before.is_none() {
            self.found.borrow_mut().declared.note_words(path, words);
        }
    }

    /// The document.
    pub fn document(&self) -> &'a Document {
        self.document
    }

    /// The entry at a path, if there.
    pub fn entry(&self, path: &str) -> Option<&'a Entry> {
        let place = self.document.place_of(path);
        if let Some(asked) = &self.asked {
            asked.note(path, place);
        }
        place.map(|at| &*self.document.entries()[at])
    }

    /// True when a value is `"off"`: to be read as if it were not there.
    pub fn is_off(&self, path: &str) -> bool {
        self.entry(path).is_some_and(is_off)
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
        self.declare(path, bounds, None, false);
        self.read(path, bounds)
    }

    fn read(&self, path: &str, bounds: Bounds) -> Result<Option<f64>> {
        let Some(entry) = self.entry(path) else { return Ok(None) };
        if is_off(entry) {
            return Ok(None);
        }
        let Value::Number(number) = entry.value else {
            return Err(wrong(entry, bounds.what, text_hint(entry)));
        };
        if !bounds.allow(number) {
            return Err(wrong(entry, bounds.what, reading_hint(path, number)));
        }
        if let Some(what) = extrapolated(number, entry.range) {
            self.flag(path, what);
        }
        Ok(Some(number))
    }

    /// A number, if there, that can be written again without reading the document.
    ///
    /// # Errors
    /// As [`Reader::optional`].
    pub fn optional_slot(&self, path: &str, bounds: Bounds) -> Result<Option<Slot>> {
        self.declare(path, bounds, None, true);
        let slot = |value| self.id(path).map_or(Slot::fixed(value), |id| Slot::of(value, id));
        Ok(self.read(path, bounds)?.map(slot))
    }

    /// The same of a number that must be there.
    ///
    /// # Errors
    /// As [`Reader::number`].
    pub fn slot(&self, path: &str, bounds: Bounds) -> Result<Slot> {
        self.optional_slot(path, bounds)?.ok_or_else(|| self.needed(path, bounds))
    }

    /// The same of a number with a default.
    ///
    /// # Errors
    /// As [`Reader::optional`].
    pub fn slot_or(&self, path: &str, bounds: Bounds, default: f64) -> Result<Slot> {
        self.declare(path, bounds, Some(default), true);
        let found = self.optional_slot(path, bounds)?;
        Ok(found.unwrap_or_else(|| Slot::fixed(self.defaulted(path, default))))
    }

    /// A number of the state at which a law has its reference value.
    ///
    /// # Errors
    /// As [`Reader::number`].
    pub fn reference(&self, path: &str, bounds: Bounds) -> Result<f64> {
        self.with_role(Role::Reference, || self.number(path, bounds))
    }

    /// Reads with another role.
    pub fn with_role<T>(&self, role: Role, read: impl FnOnce() -> T) -> T {
        let before = self.role.replace(role);
        let found = read();
        self.role.set(before);
        found
    }

    /// A number that must be there.
    ///
    /// # Errors
    /// As [`Reader::optional`], and when it is missing.
    pub fn number(&self, path: &str, bounds: Bounds) -> Result<f64> {
        self.optional(path, bounds)?.ok_or_else(|| self.needed(path, bounds))
    }

    fn needed(&self, path: &str, bounds: Bounds) -> Error {
        let needed = "a number this recipe cannot do without: only what may be left out can be off";
        if self.is_off(path) {
            self.refuse(path, bounds.what, Some(needed.to_owned()))
        } else {
            self.missing(path, bounds.what)
        }
    }

    /// A number, or a default when it is not there.
    ///
    /// # Errors
    /// As [`Reader::optional`].
    pub fn number_or(&self, path: &str, bounds: Bounds, default: f64) -> Result<f64> {
        self.declare(path, bounds, Some(default), false);
        Ok(self.optional(path, bounds)?.unwrap_or_else(|| self.defaulted(path, default)))
    }

    fn defaulted(&self, path: &str, default: f64) -> f64 {
        if default != 0.0 && default.is_finite() && self.is_off(path) {
            self.flag(path, format!("off means the default here, {default}"));
        }
        default
    }

    /// Name and number of every direct child of a table that is not `"off"`.
    ///
    /// # Errors
    /// As [`Reader::optional`].
    pub fn numbers_under(&self, table: &str, bounds: Bounds) -> Result<Vec<(String, f64)>> {
        let names = self.document.children(table);
        names
            .into_iter()
            .filter(|name| !self.is_off(&below(table, name)))
            .map(|name| {
                let number = self.number(&below(table, &name), bounds)?;
                Ok((name, number))
            })
            .collect()
    }

    /// The same as slots.
    ///
    /// # Errors
    /// As [`Reader::optional`].
    pub fn slots_under(&self, table: &str, bounds: Bounds) -> Result<Vec<(String, Slot)>> {
        let names = self.document.children(table).into_iter();
        let path = |name: &str| below(table, name);
        let read = |name: String| Ok(self.optional_slot(&path(&name), bounds)?.map(|slot| (name, slot)));
        names.filter_map(|name| read(name).transpose()).collect()
    }

    /// Notes a warning.
    pub fn flag(&self, place: &str, what: String) {
        let flag = Flag { r#where: place.to_owned(), what };
        self.found.borrow_mut().flags.push((self.chapter.get(), flag));
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
        self.document.under(table).next()
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
        let mut left = self.asked.iter().flat_map(|asked| asked.left(self.document));
        let alike = left.find(|entry| strsim::jaro_winkler(&entry.path, path) > ALIKE);
        let hint =
            alike.map(|entry| format!("{} at {} is not a known key: was it meant?", entry.path, entry.place));
        self.refuse(path, expected, hint)
    }

    /// Ends the reading: nothing may be left that was not asked for.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for the first key nobody asked for.
    pub fn finish(self) -> Result<Found> {
        let Some(asked) = &self.asked else { return Ok(self.found.into_inner()) };
        match asked.left(self.document).next() {
            None => Ok(self.found.into_inner()),
            Some(entry) => Err(Error::unknown_name(
                entry.place.clone(),
                "key",
                &entry.path,
                asked.paths(self.document).iter().map(String::as_str),
            )),
        }
    }
}

fn is_off(entry: &Entry) -> bool {
    matches!(&entry.value, Value::Text(text) if text == OFF)
}

/// What is said of a number outside the range its author vouches for.
pub fn extrapolated(number: f64, range: Option<(f64, f64)>) -> Option<String> {
    let (low, high) = range.filter(|(low, high)| !(*low..=*high).contains(&number))?;
    let [number, low, high] = [number, low, high].map(short);
    Some(format!("{number} is outside {low} to {high}, the range this recipe was made for: extrapolated"))
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
