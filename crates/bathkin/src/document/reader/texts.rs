//! What a document holds beside numbers: texts, words of a choice, true or false, lists.

use super::{Reader, wrong};
use crate::document::declared::Words;
use crate::document::{Entry, Value};
use crate::error::Result;

impl<'a> Reader<'a> {
    /// A text, if there.
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] for a wrong type.
    pub fn optional_text(&self, path: &str) -> Result<Option<&'a str>> {
        self.declare_words(path, || Words::Text);
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

    /// Name and text of every entry of a table whose names are the author's own.
    ///
    /// # Errors
    /// As [`Reader::optional_text`].
    pub fn texts_under(&self, table: &str) -> Result<Vec<(String, String)>> {
        self.declare_words(&format!("{table}.*"), || Words::Text);
        let entries = self.document.under(table);
        let read = |entry: &'a Entry| match (&entry.value, entry.path.strip_prefix(&format!("{table}."))) {
            (Value::Text(text), Some(name)) => {
                self.entry(&entry.path);
                Ok((name.to_owned(), text.clone()))
            }
            _ => Err(wrong(entry, "a text", None)),
        };
        entries.map(read).collect()
    }

    /// One of a few words, or the first of them when it is not there.
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] for another word.
    pub fn choice<T: Copy>(&self, path: &str, choices: &[(&str, T)]) -> Result<T> {
        self.declare_words(path, || {
            Words::Choice(choices.iter().map(|(name, _)| (*name).to_owned()).collect())
        });
        let Some(text) = self.optional_text(path)? else { return Ok(choices[0].1) };
        choices.iter().find(|(name, _)| *name == text).map(|(_, value)| *value).ok_or_else(|| {
            let names: Vec<&str> = choices.iter().map(|(name, _)| *name).collect();
            self.refuse(path, &format!("one of {}", names.join(", ")), None)
        })
    }

    /// True or false, with a default.
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] for a wrong type.
    pub fn boolean_or(&self, path: &str, default: bool) -> Result<bool> {
        self.declare_words(path, || Words::Boolean);
        match self.entry(path) {
            None => Ok(default),
            Some(Entry { value: Value::Flag(flag), .. }) => Ok(*flag),
            Some(entry) => Err(wrong(entry, "true or false", None)),
        }
    }

    /// A list of texts, empty when it is not there.
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] for a wrong type.
    pub fn list(&self, path: &str) -> Result<Vec<String>> {
        self.declare_words(path, || Words::List);
        match self.entry(path) {
            None => Ok(Vec::new()),
            Some(Entry { value: Value::List(list), .. }) => Ok(list.clone()),
            Some(entry) => Err(wrong(entry, "a list of texts", None)),
        }
    }
}
