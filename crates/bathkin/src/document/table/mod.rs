//! Tables as shops and laboratories keep them: a file to headings and rows, and the rules every table is read by.
//!
//! Runs, logs and calendars of racks go through here, so that one file is read one way whoever asks. Units of
//! headings stay at the edge that knows them.
//!
//! | file | what |
//! |---|---|
//! | `text` | bytes to text: UTF-8, UTF-16, Windows-1252 |
//! | `split` | text to cells: separators, quotes |
//! | `workbook` | a workbook to cells |
//! | `sheet` | cells to headings and rows: remarks, empty lines, columns without a name |
//! | [`headings`] | a heading to its words and the unit in its brackets |
//! | [`marks`] | decimal marks, and numbers without a unit |
//! | [`dates`] | dates and times in the forms people write |

pub mod dates;
pub mod headings;
pub mod marks;
mod sheet;
mod split;
mod text;
mod workbook;

use thiserror::Error;

pub use sheet::{Table, of_cells, read, read_headed, read_sheet};

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// Its text, without space about it.
    pub text: String,
    /// Whether it came as a number, so that its point is no decimal mark of the author's.
    pub given: bool,
}

/// Something the reader had to decide.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assumed {
    /// Row below the headings, counted from 1; none for a whole column or file.
    pub row: Option<usize>,
    /// Heading as written, or empty.
    pub column: String,
    /// What stands in the file.
    pub raw: String,
    /// What was taken for it.
    pub taken: String,
    /// What that does.
    pub effect: String,
}

impl Assumed {
    /// Of its parts.
    pub fn new(
        row: Option<usize>,
        column: &str,
        raw: impl Into<String>,
        taken: impl Into<String>,
        effect: impl Into<String>,
    ) -> Self {
        Assumed {
            row,
            column: column.to_owned(),
            raw: raw.into(),
            taken: taken.into(),
            effect: effect.into(),
        }
    }
}

impl std::fmt::Display for Assumed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let row = self.row.map(|row| format!("row {row}"));
        let column = (!self.column.is_empty()).then(|| self.column.clone());
        let place: Vec<String> = row.into_iter().chain(column).collect();
        let colon = if place.is_empty() { "" } else { ": " };
        write!(f, "{}{colon}'{}' taken as {}; {}", place.join(", "), self.raw, self.taken, self.effect)
    }
}

/// Why a table cannot be read; whoever asked adds the file.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TableError {
    /// A cell cannot be used.
    #[error("row {row}, {column} = {}: expected {expected}", if .raw.is_empty() { "(empty)" } else { .raw.as_str() })]
    Cell {
        /// Row below the headings, counted from 1.
        row: usize,
        /// Heading as written.
        column: String,
        /// What stands there.
        raw: String,
        /// What would have been accepted.
        expected: String,
    },
    /// A row cannot be used.
    #[error("row {row}{what}")]
    Row {
        /// Row below the headings, counted from 1.
        row: usize,
        /// Line of the file, or row of the workbook, counted from 1.
        line: usize,
        /// What stands there.
        raw: String,
        /// Why.
        what: String,
    },
    /// A column, or the whole file.
    #[error("{what}")]
    Whole {
        /// Heading as written, or empty.
        column: String,
        /// Why.
        what: String,
    },
}

impl TableError {
    /// Of a cell.
    pub fn cell(row: usize, column: &str, raw: &str, expected: impl Into<String>) -> Self {
        TableError::Cell { row, column: column.to_owned(), raw: raw.to_owned(), expected: expected.into() }
    }

    /// Of the whole file.
    pub fn whole(what: impl Into<String>) -> Self {
        TableError::Whole { column: String::new(), what: what.into() }
    }
}
