//! Cells to headings and rows, and what was left out on the way.

use std::path::Path;

use crate::document::table::split::{lines, separator};
use crate::document::table::text::decoded;
use crate::document::table::workbook::{is_workbook, read_workbook};
use crate::document::table::{Assumed, Cell, TableError, marks};

/// A table with its headings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Headings as written.
    pub header: Vec<String>,
    /// Line of the file, or row of the workbook, the headings stand on, counted from 1.
    pub header_line: usize,
    /// Rows, each with a cell for every heading.
    pub rows: Vec<Vec<Cell>>,
    /// Line of the file, or row of the workbook, of each row, counted from 1.
    pub lines: Vec<usize>,
    /// What was assumed or left out.
    pub assumed: Vec<Assumed>,
}

/// Whether headings are those of the table that is expected.
pub type Check<'a> = &'a dyn Fn(&[String]) -> Result<(), TableError>;

/// Reads a text file of comma, semicolon or tab separated values, or a workbook.
///
/// # Errors
/// A file that cannot be read or is no table; what cannot be told apart.
pub fn read(path: &Path) -> Result<Table, TableError> {
    read_headed(path, &|_| Ok(()))
}

/// The same of one sheet of a workbook.
///
/// # Errors
/// As [`read`]; a text file, which has no sheets, and a sheet that is not there.
pub fn read_sheet(path: &Path, sheet: &str) -> Result<Table, TableError> {
    read_as(path, Some(sheet), &|_| Ok(()))
}

/// The same, where `check` sees the headings before any other cell is judged or told.
///
/// # Errors
/// As [`read`]; that of the check.
pub fn read_headed(path: &Path, check: Check) -> Result<Table, TableError> {
    read_as(path, None, check)
}

fn read_as(path: &Path, sheet: Option<&str>, check: Check) -> Result<Table, TableError> {
    let bytes = std::fs::read(path).map_err(|error| TableError::whole(format!("cannot be read: {error}")))?;
    if is_workbook(&bytes) {
        let (numbered, assumed) = read_workbook(bytes, sheet)?;
        return of_lines(numbered, " | ", assumed, check);
    }
    if let Some(sheet) = sheet {
        let what = format!("a text file has no sheet '{sheet}': leave it out, or give the workbook");
        return Err(TableError::whole(what));
    }
    let (text, assumed) = decoded(&bytes)?;
    let assumed: Vec<Assumed> = assumed.into_iter().collect();
    let (mark, rest, before) = separator(&text);
    let plain = |text: String| Cell { text, given: false };
    let numbered = |lines: Vec<crate::document::table::split::Line>| {
        lines.into_iter().map(|line| (line.number, line.cells.into_iter().map(plain).collect())).collect()
    };
    match lines(rest, mark, before) {
        Ok(lines) => of_lines(numbered(lines), &mark.to_string(), assumed, check),
        // What stands before the broken row is judged first; a row counts from the headings.
        Err((lines, error)) => {
            let line = lines.last().map_or(before, |line| line.number) + 1;
            let known = of_lines(numbered(lines), &mark.to_string(), assumed, check);
            let row = known.map_or(1, |table| table.rows.len() + 1);
            Err(TableError::Row { row, line, raw: String::new(), what: format!(": {error}") })
        }
    }
}

/// A table handed over by cells, lines counted from the headings.
///
/// # Errors
/// As [`read`].
pub fn of_cells(header: Vec<String>, rows: Vec<Vec<Cell>>) -> Result<Table, TableError> {
    let lines = (2..rows.len() + 2).collect();
    named(Table { header, header_line: 1, rows, lines, assumed: Vec::new() })
}

/// A row that begins with # is a remark, unless it has as many cells as the headings below which it stands.
fn of_lines(
    numbered: Vec<(usize, Vec<Cell>)>,
    mark: &str,
    assumed: Vec<Assumed>,
    check: Check,
) -> Result<Table, TableError> {
    let mut table = Table { assumed, ..Table::default() };
    for (line, cells) in numbered {
        let texts = || cells.iter().map(|cell| cell.text.as_str());
        let remark =
            texts().next().is_some_and(|text| text.starts_with('#')) && cells.len() != table.header.len();
        if texts().all(str::is_empty) || (remark && table.header.is_empty()) {
            continue;
        }
        if remark {
            let effect = format!("left out below row {}", table.rows.len());
            let written: Vec<&str> = texts().collect();
            table.assumed.push(Assumed::new(None, "", written.join(mark), "a remark", effect));
        } else if table.header.is_empty() {
            (table.header, table.header_line) = (texts().map(str::to_owned).collect(), line);
            check(&table.header)?;
        } else {
            check_count((table.rows.len() + 1, line), &cells, table.header.len(), mark)?;
            table.rows.push(cells);
            table.lines.push(line);
        }
    }
    if table.header.is_empty() {
        return Err(TableError::whole("expected a line of column names and rows below it"));
    }
    if let Some(number) = table.header.iter().find(|text| is_a_number(text)) {
        let what = format!(
            "a column is called {number}: expected a line of column names, which does not begin with #"
        );
        return Err(TableError::Whole { column: number.clone(), what });
    }
    named(table)
}

fn is_a_number(text: &str) -> bool {
    marks::number(&text.replace(',', "."), None).is_some()
}

fn check_count(
    (row, line): (usize, usize),
    cells: &[Cell],
    wanted: usize,
    mark: &str,
) -> Result<(), TableError> {
    if cells.len() == wanted {
        return Ok(());
    }
    let hint = if mark == "," { " (a decimal comma needs ; or tab between columns)" } else { "" };
    let texts: Vec<&str> = cells.iter().map(|cell| cell.text.as_str()).collect();
    let what = format!(": {} cells for {wanted} columns{hint}", cells.len());
    Err(TableError::Row { row, line, raw: texts.join(mark), what })
}

/// The table without columns that have neither heading nor cells.
fn named(mut table: Table) -> Result<Table, TableError> {
    if table.rows.is_empty() {
        return Err(TableError::whole("there are no rows"));
    }
    let nameless: Vec<usize> = (0..table.header.len()).filter(|at| table.header[*at].is_empty()).collect();
    for at in &nameless {
        let Some(row) = table.rows.iter().position(|row| !row[*at].text.is_empty()) else { continue };
        let raw = table.rows[row][*at].text.clone();
        let title = table.header.iter().find(|text| !text.is_empty()).cloned().unwrap_or_default();
        let above =
            if nameless.len() > 1 { format!(": is '{title}' a title above it?") } else { String::new() };
        let what = format!(
            ", column {} = {raw}: it has no heading: expected a name (such as note, for words) in the line of \
             headings{above}",
            at + 1
        );
        return Err(TableError::Row { row: row + 1, line: table.lines[row], raw, what });
    }
    if nameless.is_empty() {
        return Ok(table);
    }
    let kept = |at: &usize| !nameless.contains(at);
    table.header = (0..table.header.len()).filter(kept).map(|at| table.header[at].clone()).collect();
    for row in &mut table.rows {
        *row = (0..row.len()).filter(kept).map(|at| row[at].clone()).collect();
    }
    let numbers: Vec<String> = nameless.iter().map(|at| (at + 1).to_string()).collect();
    let column = format!("column{} {}", if nameless.len() > 1 { "s" } else { "" }, numbers.join(", "));
    table.assumed.push(Assumed::new(None, &column, "", "empty", "left out: no heading, no cells"));
    Ok(table)
}
