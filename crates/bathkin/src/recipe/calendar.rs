//! Calendars of racks: CSV files a recipe names with `work.calendar`.
//!
//! UTF-8; comma, semicolon or tab; `#` lines are remarks; a header row. Beside a semicolon or a tab a
//! decimal comma is read too. A path is relative to the recipe's folder. Rows may stand in any order and
//! names may come again.
//!
//! | column | what | unit |
//! |---|---|---|
//! | `in_h`, `out_h` or `minutes` | clock time in and out, or time in the tank | h, min |
//! | `in`, `out` or `minutes` | the same as dates, see [`super::timestamp`] | |
//! | `area_dm2`, `area_m2`, `area_cm2` or `area_ft2` | area of the rack | |
//! | `mass_kg` with `area_dm2_kg` | mass of the parts and their area per mass, in place of the area | kg, dm²/kg |
//! | `mass_gain_g` | what the rack gained on a balance, shown beside the computed mass | g |
//! | `rack`, `substrate`, `activation` | names | |
//! | `drain_s` | time it hangs over the tank | s |

use csv::StringRecord;

use super::named_files::beside;
use super::timestamp::{TIMESTAMP, seconds_of};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Place, Result};

const SECONDS_PER_MINUTE: f64 = 60.0;
/// Columns of an area, and the square metres in each unit (the foot by definition).
const AREAS: [(&str, f64); 4] =
    [("area_dm2", 1e-2), ("area_m2", 1.0), ("area_cm2", 1e-4), ("area_ft2", 0.092_903_04)];
const COLUMNS: [&str; 16] = [
    "rack",
    "in_h",
    "out_h",
    "in",
    "out",
    "minutes",
    "area_dm2",
    "area_m2",
    "area_cm2",
    "area_ft2",
    "mass_kg",
    "area_dm2_kg",
    "mass_gain_g",
    "substrate",
    "activation",
    "drain_s",
];
const LEAST: f64 = f64::MIN_POSITIVE;

/// A row of a calendar.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    pub(super) name: String,
    pub(super) in_s: f64,
    pub(super) stay_s: f64,
    pub(super) area_m2: f64,
    pub(super) weighed_g: Option<f64>,
    pub(super) substrate: Option<String>,
    pub(super) activation: Option<String>,
    pub(super) drain_s: Option<f64>,
    /// File and line.
    pub(super) place: Place,
}

/// Reads a calendar; `named_in` is where the recipe names it, `start_s` the moment of clock zero among
/// dates (without it the earliest rack's).
pub(super) fn read_calendar(name: &str, named_in: &Place, start_s: Option<f64>) -> Result<Vec<Row>> {
    let path = beside(name, named_in);
    let file = path.display().to_string();
    let unreadable = |line: Option<usize>, reason: String| Error::Document {
        place: Place { file: file.clone(), line },
        reason,
    };
    let text = std::fs::read_to_string(&path)
        .map_err(|error| unreadable(None, format!("cannot be read: {error}")))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    let is_head = |(_, line): &(usize, &str)| !line.starts_with('#') && !line.trim().is_empty();
    let (at, head) = text.lines().enumerate().find(is_head).unwrap_or_default();
    let delimiter = [b';', b'\t', b','].into_iter().find(|mark| head.as_bytes().contains(mark));
    let delimiter = delimiter.unwrap_or(b',');
    let mut table = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let headers = table.headers().map_err(|error| unreadable(None, error.to_string()))?.clone();
    check_headers(&headers, &Place { file: file.clone(), line: Some(at + 1) })?;
    let by_date = headers.iter().any(|header| header == "in");
    let mut rows = Vec::new();
    for record in table.records() {
        let record = record
            .map_err(|error| unreadable(error.position().map(|at| at.line() as usize), error.to_string()))?;
        let line = record.position().map(|at| at.line() as usize);
        let place = Place { file: file.clone(), line };
        let decimal_comma = delimiter != b',';
        let cells = Cells { headers: &headers, record: &record, place, decimal_comma, by_date };
        rows.push(cells.row(rows.len() + 1)?);
    }
    if rows.is_empty() {
        return Err(unreadable(None, "no racks: expected a row for each".to_owned()));
    }
    if by_date {
        let earliest = rows.iter().map(|row| row.in_s).fold(f64::INFINITY, f64::min);
        let start_s = start_s.unwrap_or(earliest);
        for row in &mut rows {
            row.in_s -= start_s;
            if row.in_s < 0.0 {
                return Err(Error::Recipe {
                    place: row.place.clone(),
                    key: "in".to_owned(),
                    value: format!("{} h before it", -row.in_s / SECONDS_PER_HOUR),
                    expected: "a rack at or after work.calendar_start".to_owned(),
                    hint: None,
                });
            }
        }
    }
    Ok(rows)
}

fn check_headers(headers: &StringRecord, place: &Place) -> Result<()> {
    for header in headers {
        if COLUMNS.contains(&header) {
            continue;
        }
        if header.starts_with("area") {
            return Err(Error::Recipe {
                place: place.clone(),
                key: header.to_owned(),
                value: "(a column)".to_owned(),
                expected: "an area: area_dm2, area_m2, area_cm2 or area_ft2".to_owned(),
                hint: header.ends_with('3').then(|| "cubic units measure a volume".to_owned()),
            });
        }
        return Err(Error::unknown_name(place.clone(), "column of a calendar", header, COLUMNS));
    }
    let has = |name: &str| headers.iter().any(|header| header == name);
    for (hours, date) in [("in_h", "in"), ("out_h", "out"), ("in_h", "out"), ("out_h", "in")] {
        if has(hours) && has(date) {
            return Err(Error::Recipe {
                place: place.clone(),
                key: date.to_owned(),
                value: format!("(beside {hours})"),
                expected: "hours or dates, not both".to_owned(),
                hint: None,
            });
        }
    }
    Ok(())
}

/// The cells of a row.
struct Cells<'a> {
    headers: &'a StringRecord,
    record: &'a StringRecord,
    place: Place,
    decimal_comma: bool,
    by_date: bool,
}

impl Cells<'_> {
    fn text(&self, column: &str) -> Option<&str> {
        let at = self.headers.iter().position(|header| header == column)?;
        self.record.get(at).filter(|cell| !cell.is_empty())
    }

    fn refuse(&self, column: &str, expected: &str) -> Error {
        let text = self.text(column);
        let comma = text.is_some_and(|text| text.contains(','));
        Error::Recipe {
            place: self.place.clone(),
            key: column.to_owned(),
            value: text.unwrap_or("(missing)").to_owned(),
            expected: expected.to_owned(),
            hint: (comma && !self.decimal_comma)
                .then(|| "decimal commas are read beside semicolons or tabs only".to_owned()),
        }
    }

    fn number(&self, column: &str, least: f64, expected: &str) -> Result<Option<f64>> {
        let Some(text) = self.text(column) else { return Ok(None) };
        let comma = self.decimal_comma && text.matches(',').count() == 1 && !text.contains('.');
        let number = if comma { text.replace(',', ".").parse() } else { text.parse() };
        number
            .ok()
            .filter(|number: &f64| number.is_finite() && *number >= least)
            .map_or_else(|| Err(self.refuse(column, expected)), |number| Ok(Some(number)))
    }

    /// A clock time, s: hours, or a date with its own zero.
    fn time(&self, hours: &str, date: &str) -> Result<Option<f64>> {
        if !self.by_date {
            let hours = self.number(hours, 0.0, "a clock time in hours, zero or more")?;
            return Ok(hours.map(|hours| hours * SECONDS_PER_HOUR));
        }
        let Some(text) = self.text(date) else { return Ok(None) };
        seconds_of(text).map_or_else(|| Err(self.refuse(date, TIMESTAMP)), |seconds| Ok(Some(seconds)))
    }

    fn row(&self, count: usize) -> Result<Row> {
        let (went_in, came_out) = if self.by_date { ("in", "out") } else { ("in_h", "out_h") };
        let in_s = self.time("in_h", "in")?.ok_or_else(|| self.refuse(went_in, "when the rack goes in"))?;
        let minutes = self.number("minutes", LEAST, "minutes above zero")?;
        let stay_s = match (self.time("out_h", "out")?, minutes) {
            (Some(out_s), None) if out_s > in_s => out_s - in_s,
            (Some(_), None) => {
                let went_in = format!("later than {went_in}, {}", self.text(went_in).unwrap_or_default());
                return Err(self.refuse(came_out, &went_in));
            }
            (None, Some(minutes)) => minutes * SECONDS_PER_MINUTE,
            _ => return Err(self.refuse(came_out, &format!("either {came_out} or minutes"))),
        };
        let weighed_g = self.number("mass_gain_g", LEAST, "the mass a rack gained in g, above zero")?;
        Ok(Row {
            name: self.text("rack").map_or_else(|| format!("rack {count}"), str::to_owned),
            in_s,
            stay_s,
            area_m2: self.area_m2(weighed_g)?,
            weighed_g,
            substrate: self.text("substrate").map(str::to_owned),
            activation: self.text("activation").map(str::to_owned),
            drain_s: self.number("drain_s", LEAST, "seconds above zero")?,
            place: self.place.clone(),
        })
    }

    /// The area, m²: given, or the mass of the parts times their area per mass.
    fn area_m2(&self, weighed_g: Option<f64>) -> Result<f64> {
        let mut found = Vec::new();
        for (column, m2) in AREAS {
            let area = self.number(column, LEAST, "the area of the rack, a number above zero")?;
            found.extend(area.map(|area| (column, area * m2)));
        }
        let mass = self.number("mass_kg", LEAST, "the mass of the parts in kg, above zero")?;
        let ratio = self.number("area_dm2_kg", LEAST, "the area of a kilogram of parts, above zero")?;
        if let (Some(mass), Some(ratio)) = (mass, ratio) {
            found.push(("area_dm2_kg", mass * ratio * 1e-2));
        }
        match (found.as_slice(), mass, weighed_g) {
            ([(_, area)], ..) => Ok(*area),
            ([_, (column, _), ..], ..) => Err(self.refuse(column, "one area, not two")),
            ([], Some(_), _) => Err(self.refuse(
                "area_dm2",
                "area or area/mass ratio needed: area_dm2, or area_dm2_kg beside mass_kg",
            )),
            ([], None, Some(_)) => {
                let formula = "area missing: a mass gain is a thickness only over an area, t = m/(rho A)";
                Err(self.refuse("area_dm2", formula))
            }
            ([], None, None) => Err(self.refuse("area_dm2", "the area of the rack, above zero")),
        }
    }
}
