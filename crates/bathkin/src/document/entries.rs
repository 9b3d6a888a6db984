//! A TOML document as a list of dotted paths, each with its value, source and place.

use std::collections::HashSet;
use std::sync::Arc;

use toml_edit::{Item, Table, Value as Toml};

use crate::document::paths::{Paths, below};
use crate::document::{History, Layer, Value};
use crate::error::{Error, Place, Result};
use crate::source::{Kind, Source};

/// A value with what is known about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Dotted path.
    pub path: String,
    /// The value.
    pub value: Value,
    /// Where the number comes from.
    pub source: Option<Source>,
    /// Range the author vouches for.
    pub range: Option<(f64, f64)>,
    /// File and line.
    pub place: Place,
    /// Who set it, and what it was before.
    pub history: History,
}

impl Entry {
    /// True when the layer that set this last has not named the other at all.
    pub(crate) fn is_set_above(&self, other: &Entry) -> bool {
        self.history.last > other.history.last
    }

    /// True when this is something new above a value that was only inherited.
    pub(crate) fn is_added_above(&self, other: &Entry) -> bool {
        self.history.first > other.history.last
    }
}

/// A document, flattened. Tables nest into paths; a table with a `value` is a number with its
/// source, kind and range.
///
/// Copies share what they have in common: a changed value costs a list of pointers, no text.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Document {
    /// File name.
    pub file: String,
    entries: Arc<Vec<Arc<Entry>>>,
    paths: Arc<Paths>,
}

impl Document {
    /// Reads a TOML text; `file` names it in messages.
    ///
    /// # Errors
    /// [`Error::Document`] for what is no TOML, [`Error::Recipe`] for a value of no usable type.
    pub fn parse(file: &str, text: &str) -> Result<Self> {
        Document::parse_all(file, &[(file, text)])
    }

    /// Reads several texts, each named by its file, as one document.
    ///
    /// # Errors
    /// As [`Document::parse`].
    pub(crate) fn parse_all(name: &str, files: &[(&str, &str)]) -> Result<Self> {
        let mut document = Document { file: name.to_owned(), ..Document::default() };
        for (file, text) in files {
            let breaks = breaks_of(text);
            let toml = toml_edit::Document::parse(*text).map_err(|error| Error::Document {
                place: Place {
                    file: (*file).to_owned(),
                    line: error.span().map(|span| line_of(&breaks, span.start)),
                },
                reason: error.message().to_owned(),
            })?;
            let mut flattener = Flattener { file, breaks, entries: Vec::new() };
            flattener.table("", toml.as_table())?;
            Arc::make_mut(&mut document.paths).reserve(flattener.entries.len());
            flattener.entries.into_iter().for_each(|entry| document.lay(entry));
        }
        Ok(document)
    }

    /// All entries, in the order of the document.
    pub fn entries(&self) -> &[Arc<Entry>] {
        &self.entries
    }

    /// The entry at a path.
    pub fn get(&self, path: &str) -> Option<&Entry> {
        self.place_of(path).map(|at| &*self.entries[at])
    }

    /// Where the entry at a path stands among all of them.
    pub(super) fn place_of(&self, path: &str) -> Option<usize> {
        self.paths.place(path)
    }

    /// The entries of a table, in the order of the document.
    pub fn under(&self, table: &str) -> impl Iterator<Item = &Entry> {
        self.paths.under(table).iter().map(|at| &*self.entries[*at])
    }

    /// Puts an entry in the place of the one with its path, or at the end.
    fn lay(&mut self, mut entry: Arc<Entry>) {
        let entries = Arc::make_mut(&mut self.entries);
        match self.paths.place(&entry.path) {
            Some(at) => {
                let of = Arc::make_mut(&mut entry);
                of.history = of.history.clone().over(&entries[at].history, &entries[at].value);
                entries[at] = entry;
            }
            None => {
                Arc::make_mut(&mut self.paths).push(&entry.path);
                entries.push(entry);
            }
        }
    }

    /// Sets a value, keeping the range the author vouched for. The source becomes the user's.
    pub fn set(&mut self, path: &str, value: Value, by: &str) {
        let place = Place { file: by.to_owned(), line: None };
        let source = Some(Source { text: format!("set by {by}"), kind: Kind::User });
        let range = self.get(path).and_then(|entry| entry.range);
        let history = History::new(Layer::User);
        self.lay(Arc::new(Entry { path: path.to_owned(), value, source, range, place, history }));
    }

    /// This document with the entries of another under the given tables laid over it. A value set by the
    /// user keeps the range that goes with the one below it.
    pub fn overlaid(&self, over: &Document, tables: &[&str]) -> Document {
        let mut merged = self.clone();
        for entry in over.entries.iter() {
            if tables.iter().any(|table| is_under(&entry.path, table)) {
                let mut entry = entry.clone();
                if entry.source.as_ref().is_some_and(|source| source.kind == Kind::User) {
                    let below = self.get(&entry.path).and_then(|below| below.range);
                    let of = Arc::make_mut(&mut entry);
                    of.range = of.range.or(below);
                }
                merged.lay(entry);
            }
        }
        merged
    }

    /// This document with the entries of another below it: what both set is this one's. A plain value
    /// keeps the range that goes with the one below it.
    pub fn on_top_of(self, base: Document) -> Document {
        let mut merged = Document { file: self.file, ..base };
        for entry in Arc::make_mut(&mut merged.entries) {
            Arc::make_mut(entry).history = History::new(Layer::Base);
        }
        for entry in self.entries.iter() {
            let mut entry = Entry::clone(entry);
            entry.range = entry.range.or(merged.get(&entry.path).and_then(|below| below.range));
            merged.lay(Arc::new(entry));
        }
        merged
    }

    /// True when the document has any entry under one of these tables.
    pub fn has_any(&self, tables: &[&str]) -> bool {
        self.entries.iter().any(|entry| tables.iter().any(|table| is_under(&entry.path, table)))
    }

    /// Names of the direct children of a table, in order.
    pub fn children(&self, table: &str) -> Vec<String> {
        let mut known = HashSet::new();
        let names = self.under(table).map(|entry| {
            let rest = &entry.path[table.len() + 1..];
            rest.split('.').next().unwrap_or(rest)
        });
        names.filter(|name| known.insert(*name)).map(str::to_owned).collect()
    }
}

fn is_under(path: &str, table: &str) -> bool {
    path.strip_prefix(table).is_some_and(|rest| rest.starts_with('.'))
}

/// Offsets of the line breaks of a text.
fn breaks_of(text: &str) -> Vec<usize> {
    text.match_indices('\n').map(|(at, _)| at).collect()
}

/// The line an offset stands on, counted from 1.
fn line_of(breaks: &[usize], offset: usize) -> usize {
    breaks.partition_point(|at| *at < offset) + 1
}

struct Flattener<'a> {
    file: &'a str,
    breaks: Vec<usize>,
    entries: Vec<Arc<Entry>>,
}

impl Flattener<'_> {
    fn table(&mut self, prefix: &str, table: &Table) -> Result<()> {
        for (key, item) in table.iter() {
            let path = if prefix.is_empty() { key.to_owned() } else { below(prefix, key) };
            match item {
                Item::Table(inner) => self.table(&path, inner)?,
                Item::Value(value) => self.value(&path, value)?,
                Item::ArrayOfTables(_) | Item::None => {
                    return Err(self.wrong(
                        &path,
                        "a list of tables",
                        item.span(),
                        "named tables, [table.name]",
                    ));
                }
            }
        }
        Ok(())
    }

    fn value(&mut self, path: &str, value: &Toml) -> Result<()> {
        if let Toml::InlineTable(inner) = value {
            return if inner.contains_key("value") {
                self.attributed(path, value)
            } else {
                inner.iter().try_for_each(|(key, inner)| self.value(&below(path, key), inner))
            };
        }
        let entry = self.plain(path, value)?;
        self.entries.push(Arc::new(entry));
        Ok(())
    }

    fn plain(&self, path: &str, value: &Toml) -> Result<Entry> {
        let read = match value {
            Toml::Float(number) => Value::Number(*number.value()),
            Toml::Integer(number) => Value::Number(*number.value() as f64),
            Toml::String(text) => Value::Text(text.value().clone()),
            Toml::Boolean(flag) => Value::Flag(*flag.value()),
            Toml::Array(list) => Value::List(
                list.iter()
                    .map(|item| item.as_str().map(str::to_owned))
                    .collect::<Option<Vec<String>>>()
                    .ok_or_else(|| self.wrong(path, "a list", value.span(), "a list of texts"))?,
            ),
            _ => return Err(self.wrong(path, "a date or table", value.span(), "a number or a text")),
        };
        if matches!(read, Value::Number(number) if !number.is_finite()) {
            return Err(self.wrong(path, &read.to_string(), value.span(), "a finite number"));
        }
        Ok(Entry {
            path: path.to_owned(),
            value: read,
            source: None,
            range: None,
            place: self.place(value.span()),
            history: History::new(Layer::Own),
        })
    }

    /// `{ value = .., source = "..", kind = "..", range = [low, high] }`.
    fn attributed(&mut self, path: &str, value: &Toml) -> Result<()> {
        let Toml::InlineTable(table) = value else { return Ok(()) };
        let mut entry: Option<Entry> = None;
        let (mut text, mut kind, mut range) = (None, None, None);
        for (key, inner) in table.iter() {
            let inner_path = || below(path, key);
            match key {
                "value" => entry = Some(self.plain(path, inner)?),
                "source" => {
                    let text_of = inner.as_str().map(str::to_owned);
                    text =
                        Some(text_of.ok_or_else(|| {
                            self.wrong(&inner_path(), "no text", inner.span(), "a reference")
                        })?);
                }
                "kind" => {
                    let name = inner.as_str().unwrap_or_default();
                    let known = Kind::parse(name).ok_or_else(|| {
                        self.wrong(
                            &inner_path(),
                            name,
                            inner.span(),
                            &format!("one of {}", Kind::NAMES.join(", ")),
                        )
                    })?;
                    kind = Some(known);
                }
                "range" => {
                    let numbers: Option<Vec<f64>> = inner.as_array().and_then(|list| {
                        list.iter().map(|v| v.as_float().or(v.as_integer().map(|i| i as f64))).collect()
                    });
                    match numbers.as_deref() {
                        Some([low, high]) if low <= high => range = Some((*low, *high)),
                        _ => return Err(self.wrong(&inner_path(), "this", inner.span(), "[low, high]")),
                    }
                }
                _ => {
                    return Err(Error::unknown_name(
                        self.place(inner.span()),
                        "attribute of a number",
                        &inner_path(),
                        ["value", "source", "kind", "range"],
                    ));
                }
            }
        }
        if let Some(mut entry) = entry {
            let default_kind = if text.is_some() { Kind::Published } else { Kind::CommonPractice };
            entry.source = (text.is_some() || kind.is_some()).then(|| Source {
                text: text.unwrap_or_else(|| "no source".to_owned()),
                kind: kind.unwrap_or(default_kind),
            });
            entry.range = range;
            self.entries.push(Arc::new(entry));
        }
        Ok(())
    }

    fn place(&self, span: Option<std::ops::Range<usize>>) -> Place {
        Place { file: self.file.to_owned(), line: span.map(|span| line_of(&self.breaks, span.start)) }
    }

    fn wrong(&self, key: &str, value: &str, span: Option<std::ops::Range<usize>>, expected: &str) -> Error {
        Error::Recipe {
            place: self.place(span),
            key: key.to_owned(),
            value: value.to_owned(),
            expected: expected.to_owned(),
            hint: None,
        }
    }
}
