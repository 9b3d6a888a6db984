//! Calendars of racks: CSV files a recipe names with `work.calendar`.
//!
//! UTF-8, comma, semicolon or tab, a header row. Columns: `in_h`, `out_h` or `minutes`, `area_dm2`, and
//! perhaps `rack`, `substrate`, `activation`, `drain_s`. A path is relative to the recipe's folder.

use std::path::Path;

use csv::StringRecord;

use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Place, Result};

const COLUMNS: [&str; 8] =
    ["rack", "in_h", "out_h", "minutes", "area_dm2", "substrate", "activation", "drain_s"];
const SECONDS_PER_MINUTE: f64 = 60.0;
const DM2_PER_M2: f64 = 100.0;

/// A row of a calendar.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    pub(super) name: String,
    pub(super) in_s: f64,
    pub(super) stay_s: f64,
    pub(super) area_m2: f64,
    pub(super) substrate: Option<String>,
    pub(super) activation: Option<String>,
    pub(super) drain_s: Option<f64>,
    /// File and line.
    pub(super) place: Place,
}

/// Reads a calendar; `named_in` is where the recipe names it.
pub(super) fn read_calendar(name: &str, named_in: &Place) -> Result<Vec<Row>> {
    let folder = named_in.line.and_then(|_| Path::new(&named_in.file).parent());
    let path = folder.map_or_else(|| name.into(), |folder| folder.join(name));
    let file = path.display().to_string();
    let unreadable = |line: Option<usize>, reason: String| Error::Document {
        place: Place { file: file.clone(), line },
        reason,
    };
    let text = std::fs::read_to_string(&path)
        .map_err(|error| unreadable(None, format!("cannot be read: {error}")))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    let head = text.lines().find(|line| !line.trim_start().starts_with('#')).unwrap_or_default();
    let delimiter = [b';', b'\t', b','].into_iter().find(|mark| head.as_bytes().contains(mark));
    let mut table = csv::ReaderBuilder::new()
        .delimiter(delimiter.unwrap_or(b','))
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let headers = table.headers().map_err(|error| unreadable(None, error.to_string()))?.clone();
    for header in &headers {
        if !COLUMNS.contains(&header) {
            let place = Place { file, line: Some(1) };
            return Err(Error::unknown_name(place, "column of a calendar", header, COLUMNS));
        }
    }
    let mut rows = Vec::new();
    for record in table.records() {
        let record = record
            .map_err(|error| unreadable(error.position().map(|at| at.line() as usize), error.to_string()))?;
        let line = record.position().map(|at| at.line() as usize);
        let cells = Cells { headers: &headers, record: &record, place: Place { file: file.clone(), line } };
        rows.push(cells.row(rows.len() + 1)?);
    }
    if rows.is_empty() {
        return Err(unreadable(None, "no racks: expected a row for each".to_owned()));
    }
    Ok(rows)
}

/// The cells of a row.
struct Cells<'a> {
    headers: &'a StringRecord,
    record: &'a StringRecord,
    place: Place,
}

impl Cells<'_> {
    fn text(&self, column: &str) -> Option<&str> {
        let at = self.headers.iter().position(|header| header == column)?;
        self.record.get(at).filter(|cell| !cell.is_empty())
    }

    fn refuse(&self, column: &str, expected: &str) -> Error {
        Error::Recipe {
            place: self.place.clone(),
            key: column.to_owned(),
            value: self.text(column).unwrap_or("(missing)").to_owned(),
            expected: expected.to_owned(),
            hint: None,
        }
    }

    fn number(&self, column: &str, least: f64, expected: &str) -> Result<Option<f64>> {
        let Some(text) = self.text(column) else { return Ok(None) };
        text.parse()
            .ok()
            .filter(|number: &f64| number.is_finite() && *number >= least)
            .map_or_else(|| Err(self.refuse(column, expected)), |number| Ok(Some(number)))
    }

    fn row(&self, count: usize) -> Result<Row> {
        const TIME: &str = "a clock time in hours, zero or more";
        const LEAST: f64 = f64::MIN_POSITIVE;
        let in_h = self.number("in_h", 0.0, TIME)?.ok_or_else(|| self.refuse("in_h", TIME))?;
        const MINUTES: &str = "minutes above zero";
        let stay_s = match (self.number("out_h", 0.0, TIME)?, self.number("minutes", LEAST, MINUTES)?) {
            (Some(out_h), None) if out_h > in_h => (out_h - in_h) * SECONDS_PER_HOUR,
            (Some(_), None) => return Err(self.refuse("out_h", &format!("later than in_h, {in_h}"))),
            (None, Some(minutes)) => minutes * SECONDS_PER_MINUTE,
            _ => return Err(self.refuse("out_h", "either out_h or minutes")),
        };
        const AREA: &str = "the area of the rack in dm2, above zero";
        let area = self.number("area_dm2", LEAST, AREA)?.ok_or_else(|| self.refuse("area_dm2", AREA))?;
        Ok(Row {
            name: self.text("rack").map_or_else(|| format!("rack {count}"), str::to_owned),
            in_s: in_h * SECONDS_PER_HOUR,
            stay_s,
            area_m2: area / DM2_PER_M2,
            substrate: self.text("substrate").map(str::to_owned),
            activation: self.text("activation").map(str::to_owned),
            drain_s: self.number("drain_s", LEAST, "seconds above zero")?,
            place: self.place.clone(),
        })
    }
}
