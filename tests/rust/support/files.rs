//! Where the outside values and the sources lie.

use std::path::{Path, PathBuf};

/// The `shared` folder: `$BATHKIN_SHARED`, or the one beside this package.
///
/// # Panics
/// When there is none.
pub fn shared() -> PathBuf {
    let found = std::env::var_os("BATHKIN_SHARED")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared"), PathBuf::from);
    assert!(
        found.is_dir(),
        "no folder {}: set BATHKIN_SHARED to the repository's shared/ folder",
        found.display()
    );
    found
}

/// A file of the benches: `benches/data/<file>`.
///
/// # Panics
/// When it is not there.
pub fn bench_data(file: &str) -> PathBuf {
    let found = Path::new(env!("CARGO_MANIFEST_DIR")).join("../benches/data").join(file);
    assert!(found.is_file(), "no file {}", found.display());
    found
}

/// The `src` folder of a crate of this repository.
///
/// # Panics
/// When it is not there.
pub fn sources(of: &str) -> PathBuf {
    let found = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates").join(of).join("src");
    assert!(found.is_dir(), "no folder {}", found.display());
    found
}

/// Reads a text file.
///
/// # Panics
/// When it cannot be read.
pub fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}
