//! CSV files of outside values, and what was kept.

use crate::files::{read, shared};

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
