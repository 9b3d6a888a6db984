//! A workbook to cells.

use std::io::Cursor;

use calamine::{Data, DataType, Reader, SheetVisible, open_workbook_auto_from_rs};

use crate::document::table::{Assumed, Cell, TableError};

/// Rows with their numbers in the workbook, counted from 1.
type Numbered = Vec<(usize, Vec<Cell>)>;

/// Whether the file is a workbook: a zip archive (xlsx, ods) or a compound file (xls).
pub(crate) fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
}

/// A sheet by its name, or the first one that is shown and holds anything. Numbers come as numbers, dates as text in ISO form, an
/// error of a formula as its name, so that it is refused where a number is wanted.
pub(crate) fn read_workbook(
    bytes: Vec<u8>,
    wanted: Option<&str>,
) -> Result<(Numbered, Vec<Assumed>), TableError> {
    let broken = |error: &dyn std::fmt::Display| {
        TableError::whole(format!("cannot be read as a workbook ({error}): save it as xlsx or as CSV"))
    };
    let mut book = open_workbook_auto_from_rs(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let shown: Vec<String> = book
        .sheets_metadata()
        .iter()
        .filter(|sheet| sheet.visible == SheetVisible::Visible)
        .map(|sheet| sheet.name.clone())
        .collect();
    let mut filled = Vec::new();
    for name in shown {
        let range = book.worksheet_range(&name).map_err(|error| broken(&error))?;
        if !range.is_empty() {
            filled.push((name, range));
        }
    }
    let known: Vec<&str> = filled.iter().map(|(name, _)| name.as_str()).collect();
    let chosen = match wanted {
        None => filled.first(),
        Some(wanted) => {
            Some(filled.iter().find(|(name, _)| name.trim() == wanted.trim()).ok_or_else(|| {
                let there = known.join(", ");
                TableError::whole(format!(
                    "no sheet '{wanted}' that is shown and holds anything: there is {there}"
                ))
            })?)
        }
    };
    let Some((name, range)) = chosen else {
        return Err(TableError::whole("no sheet of the workbook holds anything"));
    };
    let mut assumed = Vec::new();
    if wanted.is_none() && filled.len() > 1 {
        let effect = format!(
            "{} left out: name the sheet you mean (log.sheet), or save it as a file of its own",
            known[1..].join(", ")
        );
        assumed.push(Assumed::new(None, "", format!("{} sheets", filled.len()), name.as_str(), effect));
    }
    // The range leaves out empty rows above the first cell; row numbers are those of the workbook.
    let first = range.start().map_or(0, |(row, _)| row as usize);
    let rows = range.rows().enumerate();
    Ok((rows.map(|(at, row)| (first + at + 1, row.iter().map(cell).collect())).collect(), assumed))
}

fn cell(data: &Data) -> Cell {
    let text = |text: String| Cell { text: text.trim().to_owned(), given: false };
    match data {
        Data::Empty => Cell::default(),
        Data::Float(number) => Cell { text: number.to_string(), given: true },
        Data::Int(number) => Cell { text: number.to_string(), given: true },
        Data::DateTime(moment) => {
            let (year, month, day, hour, minute, second, _) = moment.to_ymd_hms_milli();
            let clock = format!("{hour:02}:{minute:02}:{second:02}");
            // Days are counted from 1: below one it is a time of the day, and a duration counts on.
            let whole = moment.as_f64();
            text(if moment.is_duration() {
                let minutes = (whole * 24.0 * 60.0).round();
                format!("{}:{:02}", (minutes / 60.0).floor(), minutes % 60.0)
            } else if whole < 1.0 {
                clock
            } else {
                format!("{year:04}-{month:02}-{day:02} {clock}")
            })
        }
        other => text(other.as_string().unwrap_or_else(|| other.to_string())),
    }
}
