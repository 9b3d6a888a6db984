//! Helpers of the acceptance tests: where the outside values lie, and how they are compared.
//!
//! A file that is missing, or a column that is not there, fails loudly: a test that cannot find its
//! truth has not passed.

pub mod strd;

use std::fmt::Display;
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

/// A CSV file under `shared/reference` or `shared/expected`: `#` lines skipped, then a header, then rows.
pub struct Csv {
    file: String,
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// One row of a [`Csv`].
#[derive(Clone, Copy)]
pub struct Row<'a> {
    of: &'a Csv,
    cells: &'a [String],
}

impl Csv {
    /// Reads `shared/reference/<file>`.
    ///
    /// # Panics
    /// When the file is missing, empty, or a row is not as long as the header.
    pub fn reference(file: &str) -> Self {
        Csv::of("reference", file)
    }

    /// Reads `shared/expected/<file>`.
    ///
    /// # Panics
    /// As [`Csv::reference`].
    pub fn expected(file: &str) -> Self {
        Csv::of("expected", file)
    }

    fn of(folder: &str, file: &str) -> Self {
        let text = read(&shared().join(folder).join(file));
        let mut lines =
            text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty()).map(cells);
        let header = lines.next().unwrap_or_else(|| panic!("{file} has no header"));
        let rows: Vec<Vec<String>> = lines.collect();
        assert!(!rows.is_empty(), "{file} has no rows");
        for row in &rows {
            assert_eq!(row.len(), header.len(), "{file}: row {row:?} does not fit the header");
        }
        Csv { file: file.to_owned(), header, rows }
    }

    /// Names of the columns.
    pub fn columns(&self) -> &[String] {
        &self.header
    }

    /// The rows.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { of: self, cells })
    }
}

/// The cells of a line; a comma within double quotes parts nothing.
fn cells(line: &str) -> Vec<String> {
    let mut quoted = false;
    line.split(|c| {
        quoted ^= c == '"';
        c == ',' && !quoted
    })
    .map(|cell| cell.trim().trim_matches('"').to_owned())
    .collect()
}

impl<'a> Row<'a> {
    /// The text in a column.
    ///
    /// # Panics
    /// When there is no such column.
    pub fn text(&self, column: &str) -> &'a str {
        let at = self.of.header.iter().position(|name| name == column);
        &self.cells[at.unwrap_or_else(|| panic!("{} has no column {column}", self.of.file))]
    }

    /// The number in a column.
    ///
    /// # Panics
    /// When there is no such column, or no number in it.
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{}, {column}: '{text}' is no number", self.of.file))
    }

    /// One unit in the last printed digit of the number in a column: `9.81943` gives 1e-5.
    ///
    /// # Panics
    /// As [`Row::number`].
    pub fn last_digit(&self, column: &str) -> f64 {
        self.number(column);
        let decimals = self.text(column).split_once('.').map_or(0, |(_, after)| after.len());
        10_f64.powi(-i32::try_from(decimals).expect("few decimals"))
    }
}

/// A case of `shared/reference/cases.json` by its id.
///
/// # Panics
/// When the file or the case is missing.
pub fn case(id: &str) -> serde_json::Value {
    let path = shared().join("reference/cases.json");
    let cases: Vec<serde_json::Value> =
        serde_json::from_str(&read(&path)).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    cases.into_iter().find(|case| case["id"] == id).unwrap_or_else(|| panic!("no case {id} in cases.json"))
}

/// The number at a JSON pointer of a case.
///
/// # Panics
/// When there is none.
pub fn number(case: &serde_json::Value, pointer: &str) -> f64 {
    let found = case.pointer(pointer).and_then(serde_json::Value::as_f64);
    found.unwrap_or_else(|| panic!("case {} has no number at {pointer}", case["id"]))
}

/// Asserts |found - expected| <= tolerance.
///
/// # Panics
/// When it is not, or when either is not a number.
#[track_caller]
pub fn assert_within(what: impl Display, found: f64, expected: f64, tolerance: f64) {
    let off = (found - expected).abs();
    assert!(off <= tolerance, "{what}: {found}, expected {expected} +- {tolerance:.1e} (off by {off:.2e})");
}

/// Asserts |found/expected - 1| <= tolerance.
///
/// # Panics
/// When it is not, or when either is not a number.
#[track_caller]
pub fn assert_relative(what: impl Display, found: f64, expected: f64, tolerance: f64) {
    let off = (found / expected - 1.0).abs();
    assert!(
        off <= tolerance,
        "{what}: {found}, expected {expected} within {tolerance:.1e} relative (off by {off:.2e})"
    );
}

/// The Rust examples of the README, run as documentation tests.
#[cfg(doctest)]
#[doc = include_str!("../../README.md")]
pub struct ReadmeExamples;
