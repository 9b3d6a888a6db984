//! Paths of a document: where each stands among its entries, and which of them each table holds.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};
use std::sync::Arc;

/// The path of a key of a table.
pub(crate) fn below(table: &str, key: &str) -> String {
    [table, ".", key].concat()
}

/// What is known by path.
pub type ByPath<K, V> = HashMap<K, V, BuildHasherDefault<PathHasher>>;

/// Hashes paths eight bytes at a time. A document has thousands of them and each is looked up several times; nobody
/// is served by one whose paths collide, so that a key against it is not worth its time.
#[derive(Debug, Clone, Copy, Default)]
pub struct PathHasher(u64);

impl PathHasher {
    fn mix(&mut self, word: u64) {
        // The multiplier of Knuth's multiplicative hashing for 64 bits; the shift brings its upper half down.
        let mixed = (self.0 ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 32);
    }
}

impl Hasher for PathHasher {
    fn write(&mut self, bytes: &[u8]) {
        let (words, rest) = bytes.as_chunks::<8>();
        words.iter().for_each(|word| self.mix(u64::from_le_bytes(*word)));
        let mut last = [0; 8];
        last[..rest.len()].copy_from_slice(rest);
        self.mix(u64::from_le_bytes(last));
    }

    fn write_u8(&mut self, byte: u8) {
        self.mix(byte.into());
    }

    fn finish(&self) -> u64 {
        self.0
    }
}

/// The paths of a document. Copies share the texts.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Paths {
    places: ByPath<Arc<str>, usize>,
    /// Places of the entries below each table, in the order of the document.
    tables: ByPath<Arc<str>, Vec<usize>>,
}

impl Paths {
    /// Where a path stands.
    pub(super) fn place(&self, path: &str) -> Option<usize> {
        self.places.get(path).copied()
    }

    /// Where everything below a table stands, in the order of the document.
    pub(super) fn under(&self, table: &str) -> &[usize] {
        self.tables.get(table).map_or(&[], Vec::as_slice)
    }

    /// Makes room for so many more.
    pub(super) fn reserve(&mut self, more: usize) {
        // A table has about five numbers and texts.
        self.places.reserve(more);
        self.tables.reserve(more / 4);
    }

    /// A path that is not there yet, after all others.
    pub(super) fn push(&mut self, path: &str) {
        let place = self.places.len();
        self.places.insert(path.into(), place);
        for (end, _) in path.match_indices('.') {
            let table = &path[..end];
            match self.tables.get_mut(table) {
                Some(places) => places.push(place),
                None => {
                    self.tables.insert(table.into(), vec![place]);
                }
            }
        }
    }
}
