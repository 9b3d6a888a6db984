//! An ensemble as bytes: a header that says of what it is, then a record for each chunk, in any order.
//!
//! | part | bytes |
//! |---|---|
//! | header | the magic words, version of the format, length, then version of the program, digests of recipe, draws and outputs, seed, number of members, members of a chunk; checksum |
//! | record | length, first member, columns, first limits, failures; checksum of all before it |
//!
//! A file that is written by appending records to a header loses at most the record under way when its process is killed. What a
//! worker hands back is the same.

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::document::Digest;
use crate::error::{Error, Place, Result};
use crate::study::ensemble::plan::{CHUNK, Chunk, EnsemblePlan};

const MAGIC: &[u8] = b"bathkin ensemble\n";
const FORMAT: u64 = 1;
const VERSION: &str = env!("CARGO_PKG_VERSION");

/// What was found in bytes behind a header.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The chunks, each whole.
    pub chunks: Vec<Chunk>,
    /// Records that are damaged: their bytes are there and are not what was written.
    pub damaged: usize,
    /// Bytes up to the end of the last record that is there whole; what follows was being written.
    pub whole: usize,
}

impl EnsemblePlan {
    /// The header of this ensemble.
    ///
    /// # Errors
    /// As [`crate::Recipe::model`].
    pub fn header(&self) -> Result<Vec<u8>> {
        let said: Vec<String> = self.said()?.into_iter().map(|(_, said)| said).collect();
        let mut header = MAGIC.to_vec();
        header.extend_from_slice(&FORMAT.to_le_bytes());
        header.extend(with_checksum(&said));
        Ok(header)
    }

    /// What a header says, each in words and as it is written.
    fn said(&self) -> Result<[(&'static str, String); 7]> {
        Ok([
            ("the version of bathkin", VERSION.to_owned()),
            ("the recipe", self.recipe_digest()?.to_string()),
            ("the draws", self.draws_digest().to_string()),
            ("the outputs", self.outputs_digest().to_string()),
            ("the seed", self.seed.to_string()),
            ("the number of members", self.design.count().to_string()),
            ("the members of a chunk", CHUNK.to_string()),
        ])
    }

    /// The chunks of bytes that begin with a header of this ensemble; `file` names them in messages.
    ///
    /// # Errors
    /// [`Error::Document`] for bytes that are none, of another format, or of an ensemble that differs: in what.
    pub fn read_records(&self, file: &str, bytes: &[u8]) -> Result<Found> {
        let refuse =
            |reason: String| Error::Document { place: Place { file: file.to_owned(), line: None }, reason };
        let Some(after) = bytes.strip_prefix(MAGIC) else {
            return Err(refuse("this is no checkpoint of an ensemble: it is left as it is".to_owned()));
        };
        let cut = || refuse("its header is cut off or damaged: remove it, or name another file".to_owned());
        let (format, mut rest) = after.split_first_chunk().ok_or_else(cut)?;
        let format = u64::from_le_bytes(*format);
        if format != FORMAT {
            let reason = format!("its format is {format}: expected {FORMAT}, that of bathkin {VERSION}");
            return Err(refuse(reason));
        }
        let said: Vec<String> = taken(&mut rest).flatten().ok_or_else(cut)?;
        for ((what, expected), found) in self.said()?.into_iter().zip(said) {
            if found != expected {
                let reason = format!(
                    "{what} differs: the file has {found}, this ensemble {expected}; name another file, or ask for what it was made from"
                );
                return Err(refuse(reason));
            }
        }
        Ok(self.records(bytes, rest))
    }

    fn records(&self, bytes: &[u8], mut rest: &[u8]) -> Found {
        let mut found = Found { chunks: Vec::new(), damaged: 0, whole: bytes.len() - rest.len() };
        let is_mine = |chunk: &Chunk| {
            let rows = chunk.members().end - chunk.from;
            let filled = chunk.columns.iter().all(|column| column.len() as u64 == rows);
            filled
                && chunk.columns.len() == self.points.outputs.len()
                && chunk.members().end <= self.design.count()
        };
        while let Some(read) = taken::<Chunk>(&mut rest) {
            found.whole = bytes.len() - rest.len();
            match read.filter(is_mine) {
                Some(chunk) => found.chunks.push(chunk),
                None => found.damaged += 1,
            }
        }
        found
    }
}

/// A chunk as a record.
pub fn record(chunk: &Chunk) -> Vec<u8> {
    with_checksum(chunk)
}

/// Length, contents, and a checksum of both.
pub(super) fn with_checksum<T: Serialize>(contents: &T) -> Vec<u8> {
    // What is here holds nothing that cannot be written.
    let body = postcard::to_allocvec(contents).unwrap_or_default();
    let mut bytes = (body.len() as u64).to_le_bytes().to_vec();
    bytes.extend(body);
    let checksum = checksum(&bytes);
    bytes.extend_from_slice(&checksum.to_le_bytes());
    bytes
}

/// The contents, taken off the bytes; `None` where not all of them are there, and within it `None` where they are damaged.
pub(super) fn taken<T: DeserializeOwned>(bytes: &mut &[u8]) -> Option<Option<T>> {
    const LENGTH: usize = size_of::<u64>();
    let (length, _) = bytes.split_first_chunk::<LENGTH>()?;
    let end = usize::try_from(u64::from_le_bytes(*length)).ok()?.checked_add(LENGTH)?;
    let (with_length, after) = bytes.split_at_checked(end)?;
    let (written, rest) = after.split_first_chunk()?;
    *bytes = rest;
    let whole = u64::from_le_bytes(*written) == checksum(with_length);
    Some(whole.then(|| postcard::from_bytes(&with_length[LENGTH..]).ok()).flatten())
}

fn checksum(bytes: &[u8]) -> u64 {
    let mut digest = Digest::default();
    digest.take(bytes);
    digest.value()
}
