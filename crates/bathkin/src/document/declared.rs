//! The numbers a document was asked for, and in which part of the reading.

use crate::document::declaration::Declaration;
use crate::document::paths::ByPath;
use crate::document::slot::ParameterId;
use crate::flag::Flag;

/// A part of the reading: what is kept, or read again, together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Chapter(pub u8);

/// What a value that is no number may be.
#[derive(Debug, Clone, PartialEq)]
pub enum Words {
    /// Any text.
    Text,
    /// One of a few.
    Choice(Vec<String>),
    /// True or false.
    Boolean,
    /// A list of texts.
    List,
}

/// The numbers a document was asked for, in the order of the reading, each once.
#[derive(Debug, Clone, Default)]
pub struct Declared {
    /// What was told of each.
    pub all: Vec<Declaration>,
    /// In which chapters each was read, a bit for each.
    chapters: Vec<u32>,
    /// Whether each was read as a slot and never otherwise.
    slots: Vec<bool>,
    places: ByPath<String, ParameterId>,
    /// What else it was asked for, by path.
    pub words: ByPath<String, Words>,
}

impl Declared {
    /// The number at a path.
    pub fn id(&self, path: &str) -> Option<ParameterId> {
        self.places.get(path).copied()
    }

    /// Whether a number was read in a chapter.
    pub fn is_read_in(&self, id: ParameterId, chapter: Chapter) -> bool {
        self.chapters[id.0] & (1 << chapter.0) != 0
    }

    /// Whether a number was read in a chapter and in no other.
    pub fn is_read_in_alone(&self, id: ParameterId, chapter: Chapter) -> bool {
        self.chapters[id.0] == 1 << chapter.0
    }

    /// Whether a number is written through slots alone.
    pub fn is_slot(&self, id: ParameterId) -> bool {
        self.slots[id.0]
    }

    pub(super) fn note(
        &mut self,
        path: &str,
        declaration: impl FnOnce() -> Declaration,
        chapter: Chapter,
        slot: bool,
    ) {
        let id = self.id(path).unwrap_or_else(|| {
            let id = ParameterId(self.all.len());
            self.places.insert(path.to_owned(), id);
            self.all.push(declaration());
            self.chapters.push(0);
            self.slots.push(true);
            id
        });
        self.chapters[id.0] |= 1 << chapter.0;
        self.slots[id.0] &= slot;
    }

    pub(super) fn note_words(&mut self, path: &str, words: impl FnOnce() -> Words) {
        if !self.words.contains_key(path) {
            self.words.insert(path.to_owned(), words());
        }
    }
}

/// What a reading has found out.
#[derive(Debug, Clone, Default)]
pub struct Found {
    /// The numbers it asked for.
    pub declared: Declared,
    /// Warnings, with the chapter each was raised in.
    pub flags: Vec<(Chapter, Flag)>,
}
