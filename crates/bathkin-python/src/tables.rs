//! Tables of runs, logs and rates: files to cells, decimal marks, dates.

use std::path::Path;

use bathkin::document::Unit;
use bathkin::document::table;
use bathkin::document::table::{Assumed, Cell, TableError, dates, headings, marks};
use bathkin::model::LogSettings;
use bathkin::tank::Quantity;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::errors::new;

/// Row, raw text and what was expected of a cell that cannot be read.
type CellProblem = (Option<usize>, String, String);
/// Row, column, what stands there, what was taken for it, what that does.
type Assumption = (Option<usize>, String, String, String, String);

/// Texts of cells, each with whether it came as a number.
type Cells = Vec<Vec<(String, bool)>>;

/// Year, month, day, hour, minute, second, microsecond, seconds ahead of UTC.
pub type Moment = (i64, i64, i64, i64, i64, i64, i64, Option<i64>);

/// A moment as Python makes it.
pub fn parts(m: dates::Moment) -> Moment {
    (m.year, m.month, m.day, m.hour, m.minute, m.second, m.microsecond, m.offset_s)
}

fn told(assumed: Vec<Assumed>) -> Vec<Assumption> {
    assumed.into_iter().map(|one| (one.row, one.column, one.raw, one.taken, one.effect)).collect()
}

fn cells(rows: Cells) -> Vec<Vec<Cell>> {
    let of_row =
        |row: Vec<(String, bool)>| row.into_iter().map(|(text, given)| Cell { text, given }).collect();
    rows.into_iter().map(of_row).collect()
}

/// A data error with row, column and raw text.
fn raise(py: Python<'_>, place: &str, error: &TableError) -> PyErr {
    let details = PyDict::new(py);
    let filled = match error {
        TableError::Cell { row, column, raw, .. } => details
            .set_item("row", row)
            .and_then(|()| details.set_item("column", column))
            .and_then(|()| details.set_item("raw", raw)),
        TableError::Row { row, raw, .. } => {
            details.set_item("row", row).and_then(|()| details.set_item("raw", raw))
        }
        TableError::Whole { column, .. } if column.is_empty() => Ok(()),
        TableError::Whole { column, .. } => details.set_item("column", column),
    };
    match filled {
        Ok(()) => new(py, "DataError", format!("{place}: {error}"), Some(&details)),
        Err(failed) => failed,
    }
}

/// Headings, cells and what was assumed of a file, or of a sheet of a workbook.
#[pyfunction]
#[pyo3(signature = (path, sheet = None))]
pub fn read_table(
    py: Python<'_>,
    path: &str,
    sheet: Option<&str>,
) -> PyResult<(Vec<String>, Cells, Vec<Assumption>)> {
    let file = Path::new(path);
    let read = py.detach(|| sheet.map_or_else(|| table::read(file), |sheet| table::read_sheet(file, sheet)));
    handed(py, path, read)
}

/// The same of a table that was handed over.
#[pyfunction]
pub fn table_of_cells(
    py: Python<'_>,
    place: &str,
    header: Vec<String>,
    rows: Cells,
) -> PyResult<(Vec<String>, Cells, Vec<Assumption>)> {
    handed(py, place, table::of_cells(header, cells(rows)))
}

fn handed(
    py: Python<'_>,
    place: &str,
    read: Result<table::Table, TableError>,
) -> PyResult<(Vec<String>, Cells, Vec<Assumption>)> {
    let table = read.map_err(|error| raise(py, place, &error))?;
    let of_row = |row: Vec<Cell>| row.into_iter().map(|cell| (cell.text, cell.given)).collect();
    Ok((table.header, table.rows.into_iter().map(of_row).collect(), told(table.assumed)))
}

/// The decimal mark of cells, and the assumption of a comma; columns are headings, each with whether its unit
/// allows thousands.
#[pyfunction]
pub fn decimal_mark(
    py: Python<'_>,
    place: &str,
    columns: Vec<(String, bool)>,
    rows: Cells,
) -> PyResult<(Option<char>, Option<Assumption>)> {
    let rows = cells(rows);
    let columns: Vec<(&str, bool)> =
        columns.iter().map(|(text, allowed)| (text.as_str(), *allowed)).collect();
    let mark = marks::decimal_mark(&columns, &rows).map_err(|error| raise(py, place, &error))?;
    Ok((mark, told(marks::assumed_mark(mark, &rows).into_iter().collect()).pop()))
}

/// The moments of the cells of a column, what was assumed, and what cannot be read: row, raw text, message.
#[pyfunction]
pub fn moments(
    place: &str,
    column: &str,
    cells: Vec<String>,
) -> (Vec<Option<Moment>>, Vec<Assumption>, Vec<CellProblem>) {
    let cells: Vec<(usize, &str, &str)> =
        cells.iter().enumerate().map(|(at, text)| (at + 1, column, text.as_str())).collect();
    let (mut assumed, mut wrong) = (Vec::new(), Vec::new());
    let found = dates::readable(&cells, &mut assumed, &mut wrong);
    let told_of = |error: TableError| {
        let message = format!("{place}: {error}");
        match error {
            TableError::Cell { row, raw, .. } | TableError::Row { row, raw, .. } => (Some(row), raw, message),
            TableError::Whole { .. } => (None, String::new(), message),
        }
    };
    let found = found.into_iter().map(|moment| moment.map(parts)).collect();
    (found, told(assumed), wrong.into_iter().map(told_of).collect())
}

/// Headings and what they are read as, as the table of a recipe.
#[pyfunction]
pub fn log_columns_as_toml(columns: Vec<(String, String)>) -> String {
    LogSettings::columns_as_toml(&columns)
}

/// Whether a text looks like a date.
#[pyfunction]
pub fn is_date(text: &str) -> bool {
    dates::is_date(text)
}

/// Whether nothing stands in a cell.
#[pyfunction]
pub fn is_empty_cell(text: &str) -> bool {
    marks::is_empty(text)
}

/// The text of a number, with or without a unit behind it, with a decimal point.
#[pyfunction]
#[pyo3(signature = (text, mark = None))]
pub fn with_point(text: &str, mark: Option<char>) -> String {
    marks::with_point(text, mark)
}

/// A number without a unit, or None.
#[pyfunction]
#[pyo3(signature = (text, mark = None))]
pub fn plain_number(text: &str, mark: Option<char>) -> Option<f64> {
    marks::number(text, mark)
}

/// A cell without the sign of a limit of detection.
#[pyfunction]
pub fn without_limit(text: &str) -> &str {
    marks::without_limit(text)
}

/// The words of a heading as a name, and the unit in its brackets.
#[pyfunction]
pub fn named_heading(text: &str) -> (String, String) {
    headings::named(text)
}

/// A reading with headings of its own: its name, unit, spellings in logs, and those in tables of coupons.
type Spelled = (&'static str, &'static str, Vec<&'static str>, Vec<&'static str>);

/// Readings of the dictionary that people head with other words than their names.
#[pyfunction]
pub fn reading_headings() -> Vec<Spelled> {
    let spelled = |of: Quantity| {
        let (name, entry) = (of.own_name(), of.entry());
        let of_coupons = if of.of_piece().is_some() { entry.spellings } else { &[] };
        let of_coupons = of_coupons.iter().chain(entry.coupon_spellings).copied().collect();
        (name, entry.unit, entry.spellings.to_vec(), of_coupons)
    };
    Quantity::spelled().map(spelled).collect()
}

/// Headings of columns of words.
#[pyfunction]
pub fn heading_words() -> Vec<&'static str> {
    headings::WORDS.to_vec()
}

/// Unit of the number at a path, as a unit library reads it, and what it measures; None for a plain number.
#[pyfunction]
pub fn unit_of(path: &str) -> Option<(&'static str, &'static str)> {
    Unit::of(path).map(|unit| (unit.parsed, unit.measures))
}
