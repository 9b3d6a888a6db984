//! Which entries of a document were asked for, and what was asked for that it does not hold.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;

use crate::document::{Document, Entry};

/// What was asked for of a document.
pub(super) struct Asked {
    /// For each of its entries, whether it was.
    entries: Vec<Cell<bool>>,
    /// Paths that are not there, as often as they were asked for.
    absent: RefCell<Vec<String>>,
}

impl Asked {
    /// Nothing yet, of a document of so many entries.
    pub(super) fn of(entries: usize) -> Self {
        Asked { entries: vec![Cell::new(false); entries], absent: RefCell::default() }
    }

    /// Notes a path that was asked for, which stands at a place or nowhere.
    pub(super) fn note(&self, path: &str, place: Option<usize>) {
        match place {
            Some(at) => self.entries[at].set(true),
            None => self.absent.borrow_mut().push(path.to_owned()),
        }
    }

    /// The entries that nobody asked for.
    pub(super) fn left<'a>(&self, document: &'a Document) -> impl Iterator<Item = &'a Entry> {
        let asked = self.entries.iter().zip(document.entries());
        asked.filter(|(asked, _)| !asked.get()).map(|(_, entry)| &**entry)
    }

    /// Every path that was asked for, in alphabetical order.
    pub(super) fn paths(&self, document: &Document) -> BTreeSet<String> {
        let present = self.entries.iter().zip(document.entries()).filter(|(asked, _)| asked.get());
        let present = present.map(|(_, entry)| entry.path.clone());
        present.chain(self.absent.borrow().iter().cloned()).collect()
    }
}
