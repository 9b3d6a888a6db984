//! The file that an ended computation goes on from.

use std::fs::{File, OpenOptions, read as bytes_of, rename};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use bathkin::Error;
use bathkin::study::ensemble::{Chunk, EnsemblePlan};

use super::Ended;

/// What a file holds of an ensemble.
pub struct Found {
    /// Chunks, each whole.
    pub chunks: Vec<Chunk>,
    /// Records that are damaged.
    pub damaged: usize,
    /// Bytes of a record that was being written when its process ended.
    pub cut: usize,
    /// Bytes before those.
    whole: usize,
}

/// Reads a file of this ensemble.
pub fn read(plan: &EnsemblePlan, path: &str) -> Result<Found, Ended> {
    let bytes = bytes_of(path).map_err(Ended::File)?;
    let found = plan.read_records(path, &bytes).map_err(Ended::Core)?;
    let cut = bytes.len() - found.whole;
    Ok(Found { chunks: found.chunks, damaged: found.damaged, cut, whole: found.whole })
}

/// The file to add to: read, and cut behind its last whole record, where it is there; else begun beside its place and
/// moved there whole.
pub fn opened(plan: &EnsemblePlan, path: &str) -> Result<(File, Found), Ended> {
    let known = Path::new(path).exists();
    if !known {
        begin(plan, path)?;
    }
    let found = read(plan, path)?;
    let file = OpenOptions::new().append(true).open(path).map_err(Ended::File)?;
    if found.cut > 0 {
        file.set_len(found.whole as u64).map_err(Ended::File)?;
    }
    Ok((file, found))
}

fn begin(plan: &EnsemblePlan, path: &str) -> Result<(), Ended> {
    let header = plan.header().map_err(|error: Error| Ended::Core(error))?;
    let beside = PathBuf::from(format!("{path}.{}", std::process::id()));
    let written = || -> io::Result<()> {
        let mut file = File::create_new(&beside)?;
        file.write_all(&header)?;
        file.sync_all()?;
        rename(&beside, path)
    };
    written().map_err(Ended::File)
}
