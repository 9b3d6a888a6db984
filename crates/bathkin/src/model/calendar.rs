//! Calendars of racks: tables a recipe names with `work.calendar`.
//!
//! Read by the rules of every table ([`crate::document::table`]): CSV or a workbook, decimal point or comma, dates in the
//! forms people write, `#` lines as remarks. A path is relative to the recipe's folder. Rows may stand in any
//! order and names may come again. A unit stands at the end of a heading or in its brackets.
//!
//! | column | what | unit |
//! |---|---|---|
//! | `in_h`, `out_h` or `minutes` | clock time in and out, or time in the tank | h, min |
//! | `in`, `out` or `minutes` | the same as dates, see [`crate::document::table::dates`] | |
//! | `area_dm2`, `area_m2`, `area_cm2` or `area_ft2` | area of the rack | |
//! | `mass_kg` with `area_dm2_kg`, or `mass_lb` with `area_ft2_lb` | mass of the parts and their area per mass, in place of the area | kg, dm²/kg; lb, ft²/lb |
//! | `mass_gain_g` | what the rack gained on a balance, shown beside the computed mass | g |
//! | `rack`, `substrate`, `activation` | names | |
//! | `drain_s` | time it hangs over the tank | s |
//! | `note`, `operator` and the like | words | |

use crate::constants::SECONDS_PER_HOUR;
use crate::document::table::headings::{WORDS, named};
use crate::document::table::{Assumed, Cell, Table, TableError, dates, marks, read_headed};
use crate::error::{Error, Place, Result};
use bathkin_numerics::short;
use std::path::{Path, PathBuf};

const SECONDS_PER_MINUTE: f64 = 60.0;
/// Path of the calendar's name.
pub(crate) const CALENDAR: &str = "work.calendar";

/// Square metres of a square foot (by definition).
const M2_PER_FT2: f64 = 0.092_903_04;

/// Columns of an area, and the square metres in each unit.
const AREAS: [(&str, f64); 4] =
    [("area_dm2", 1e-2), ("area_m2", 1.0), ("area_cm2", 1e-4), ("area_ft2", M2_PER_FT2)];
/// Columns of a mass with the one of an area per mass, and the square metres in the product of their units.
const BY_MASS: [(&str, &str, f64); 2] =
    [("mass_kg", "area_dm2_kg", 1e-2), ("mass_lb", "area_ft2_lb", M2_PER_FT2)];
/// Columns of numbers, each with whether its unit allows thousands.
const NUMBERS: [(&str, bool); 13] = [
    ("in_h", true),
    ("out_h", true),
    ("minutes", true),
    ("area_dm2", true),
    ("area_m2", false),
    ("area_cm2", true),
    ("area_ft2", false),
    ("mass_kg", false),
    ("area_dm2_kg", false),
    ("mass_lb", true),
    ("area_ft2_lb", false),
    ("mass_gain_g", false),
    ("drain_s", false),
];
const TEXTS: [&str; 5] = ["rack", "in", "out", "substrate", "activation"];
const LEAST: f64 = f64::MIN_POSITIVE;

/// A row of a calendar.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    pub(crate) name: String,
    pub(crate) in_s: f64,
    pub(crate) stay_s: f64,
    pub(crate) area_m2: f64,
    pub(crate) weighed_g: Option<f64>,
    pub(crate) substrate: Option<String>,
    pub(crate) activation: Option<String>,
    pub(crate) drain_s: Option<f64>,
    /// File and line.
    pub(crate) place: Place,
}

/// A calendar as it was read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Calendar {
    pub(crate) file: String,
    pub(crate) rows: Vec<Row>,
    /// The moment of clock zero, where dates tell it.
    pub(crate) zero: Option<dates::Moment>,
    pub(crate) assumed: Vec<Assumed>,
}

/// Reads a calendar; `named_in` is where the recipe names it, `start` the moment of clock zero among dates
/// (without it the earliest rack's).
pub(crate) fn read_calendar(name: &str, named_in: &Place, start: Option<dates::Moment>) -> Result<Calendar> {
    let path = beside(name, named_in);
    let file = path.display().to_string();
    let nothing = Table::default();
    let mut table = read_headed(&path, &is_headed).map_err(|error| placed(&file, &nothing, error))?;
    let names: Vec<String> = table.header.iter().map(|text| canonical(text)).collect();
    check_headers(&table, &names, &file)?;
    let refuse = |error| placed(&file, &table, error);
    let mark = decimal_mark(&table, &names).map_err(refuse)?;
    let by_date = names.iter().any(|name| name == "in");
    let mut assumed = Vec::new();
    let moments = if by_date { moments(&table, &names, &mut assumed).map_err(refuse)? } else { Vec::new() };
    if let (Some(start), Some(first)) = (start, moments.iter().flatten().flatten().next())
        && start.offset_s.is_none() != first.offset_s.is_none()
    {
        return Err(Error::Recipe {
            place: named_in.clone(),
            key: "work.calendar_start".to_owned(),
            value: start.to_string(),
            expected: format!("a time zone as in the calendar, {first}, or in neither"),
            hint: None,
        });
    }
    let mut rows = Vec::new();
    for at in 0..table.rows.len() {
        let place = Place { file: file.clone(), line: Some(table.lines[at]) };
        let times = moments.get(at).map(|times| times.map(|time| time.map(|time| time.seconds())));
        rows.push(Cells { names: &names, table: &table, at, place, mark, times }.row()?);
    }
    let first_in = || {
        let went_in = moments.iter().filter_map(|[went_in, _]| *went_in);
        went_in.min_by(|one, other| one.seconds().total_cmp(&other.seconds()))
    };
    let zero = start.or_else(first_in);
    if let Some(zero) = zero.filter(|_| by_date) {
        let start_s = zero.seconds();
        for row in &mut rows {
            row.in_s -= start_s;
            if row.in_s < 0.0 {
                return Err(Error::Recipe {
                    place: row.place.clone(),
                    key: "in".to_owned(),
                    value: format!("{} h before the make-up", short(-row.in_s / SECONDS_PER_HOUR)),
                    expected: format!("a rack at or after the make-up, work.calendar_start = {zero}"),
                    hint: None,
                });
            }
        }
    }
    let mut all = std::mem::take(&mut table.assumed);
    all.extend(assumed);
    all.extend(mark.and_then(|mark| marks::assumed_mark(Some(mark), &table.rows)));
    Ok(Calendar { file, rows, zero, assumed: all })
}

/// An error of a table, with the line of the file.
fn placed(file: &str, table: &Table, error: TableError) -> Error {
    let place = |line: Option<usize>| Place { file: file.to_owned(), line };
    match error {
        TableError::Cell { row, column, raw, expected } => Error::Recipe {
            place: place(table.lines.get(row - 1).copied()),
            key: column,
            value: if raw.is_empty() { "(empty)".to_owned() } else { raw },
            expected,
            hint: None,
        },
        TableError::Row { line, ref raw, .. } => {
            let reason = if raw.is_empty() { error.to_string() } else { format!("{error}: {raw}") };
            Error::Document { place: place(Some(line)), reason }
        }
        TableError::Whole { what, .. } => Error::Document { place: place(None), reason: what },
    }
}

/// A recipe may come from anybody, and name any file: nothing of one that has no heading of a calendar is told.
fn is_headed(header: &[String]) -> std::result::Result<(), TableError> {
    let known = |text: &String| {
        let name = canonical(text);
        is_number(&name) || TEXTS.contains(&name.as_str())
    };
    let not_one = "not a calendar: expected a line of headings such as rack, in_h, minutes, area_dm2";
    if header.iter().any(known) { Ok(()) } else { Err(TableError::whole(not_one)) }
}

/// The name of a column from its heading.
fn canonical(text: &str) -> String {
    let (name, unit) = named(text);
    let unit = unit.to_lowercase().replace('\u{b2}', "2").replace(['/', ' '], "_");
    format!("{name}_{unit}").trim_matches('_').to_owned()
}

fn is_number(name: &str) -> bool {
    NUMBERS.iter().any(|(known, _)| *known == name)
}

/// Refuses columns that are not known, all at once, and two of one name.
fn check_headers(table: &Table, names: &[String], file: &str) -> Result<()> {
    let place = || Place { file: file.to_owned(), line: Some(table.header_line) };
    let column = |key: &str, value: &str, expected: String, hint: Option<String>| Error::Recipe {
        place: place(),
        key: key.to_owned(),
        value: value.to_owned(),
        expected,
        hint,
    };
    let known = |name: &str| is_number(name) || TEXTS.contains(&name) || WORDS.contains(&name);
    let unknown = |(text, name): (&String, &String)| {
        if known(name) {
            None
        } else if name.starts_with("area") {
            let cubic = name.ends_with('3').then(|| "cubic units measure a volume".to_owned());
            let expected = "an area: area_dm2, area_m2, area_cm2 or area_ft2".to_owned();
            Some(column(text, "(a column)", expected, cubic))
        } else {
            let valid = NUMBERS.iter().map(|(name, _)| *name).chain(TEXTS);
            Some(Error::unknown_name(place(), "column of a calendar", name, valid))
        }
    };
    let mut wrong: Vec<Error> = table.header.iter().zip(names).filter_map(unknown).collect();
    for (at, name) in names.iter().enumerate().filter(|(_, name)| !WORDS.contains(&name.as_str())) {
        if let Some(before) = names[..at].iter().position(|known| known == name) {
            let expected = format!("one column {name}: {} is one, too", table.header[before]);
            wrong.push(column(&table.header[at], "(a column)", expected, None));
        }
    }
    let has = |name: &str| names.iter().any(|known| known == name);
    for (hours, date) in [("in_h", "in"), ("out_h", "out"), ("in_h", "out"), ("out_h", "in")] {
        if has(hours) && has(date) {
            let beside = format!("(beside {hours})");
            wrong.push(column(date, &beside, "hours or dates, not both".to_owned(), None));
        }
    }
    if wrong.len() > 1 {
        let told: Vec<String> = wrong.iter().map(ToString::to_string).collect();
        let reason = format!("{} columns cannot be read:\n  {}", wrong.len(), told.join("\n  "));
        return Err(Error::Document { place: place(), reason });
    }
    wrong.pop().map_or(Ok(()), Err)
}

fn decimal_mark(table: &Table, names: &[String]) -> std::result::Result<Option<char>, TableError> {
    let thousands =
        |name: &str| NUMBERS.iter().find(|(known, _)| *known == name).map(|(_, allowed)| *allowed);
    let numeric: Vec<(usize, bool)> =
        names.iter().enumerate().filter_map(|(at, name)| Some((at, thousands(name)?))).collect();
    let columns: Vec<(&str, bool)> =
        numeric.iter().map(|(at, allowed)| (table.header[*at].as_str(), *allowed)).collect();
    let rows: Vec<Vec<Cell>> =
        table.rows.iter().map(|row| numeric.iter().map(|(at, _)| row[*at].clone()).collect()).collect();
    marks::decimal_mark(&columns, &rows)
}

/// When each rack went in and came out, where dates say so; all dates of the file are in one form.
fn moments(
    table: &Table,
    names: &[String],
    assumed: &mut Vec<Assumed>,
) -> std::result::Result<Vec<[Option<dates::Moment>; 2]>, TableError> {
    let mut places = Vec::new();
    let mut cells = Vec::new();
    for (row, texts) in table.rows.iter().enumerate() {
        for (place, name) in ["in", "out"].into_iter().enumerate() {
            let Some(at) = names.iter().position(|known| known == name) else { continue };
            let text = texts[at].text.as_str();
            // A rack may say how long it hung instead.
            if name == "in" || !marks::is_empty(text) {
                places.push((row, place));
                cells.push((row + 1, table.header[at].as_str(), text));
            }
        }
    }
    let mut found = vec![[None, None]; table.rows.len()];
    for ((row, place), moment) in places.into_iter().zip(dates::moments(&cells, assumed)?) {
        found[row][place] = Some(moment);
    }
    Ok(found)
}

/// The cells of a row.
struct Cells<'a> {
    names: &'a [String],
    table: &'a Table,
    at: usize,
    place: Place,
    mark: Option<char>,
    /// In and out, s, where dates say so.
    times: Option<[Option<f64>; 2]>,
}

impl Cells<'_> {
    fn text(&self, column: &str) -> Option<&str> {
        let at = self.names.iter().position(|name| name == column)?;
        self.table.rows[self.at].get(at).map(|cell| cell.text.as_str()).filter(|text| !marks::is_empty(text))
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
        marks::number(text, self.mark)
            .filter(|number| *number >= least)
            .map_or_else(|| Err(self.refuse(column, expected)), |number| Ok(Some(number)))
    }

    /// A clock time, s: hours, or a date with its own zero.
    fn time(&self, place: usize, hours: &str) -> Result<Option<f64>> {
        if let Some(times) = self.times {
            return Ok(times[place]);
        }
        let hours = self.number(hours, 0.0, "a clock time in hours, zero or more")?;
        Ok(hours.map(|hours| hours * SECONDS_PER_HOUR))
    }

    fn row(&self) -> Result<Row> {
        let (went_in, came_out) = if self.times.is_some() { ("in", "out") } else { ("in_h", "out_h") };
        let in_s = self.time(0, "in_h")?.ok_or_else(|| self.refuse(went_in, "when the rack goes in"))?;
        let minutes = self.number("minutes", LEAST, "minutes above zero")?;
        let stay_s = match (self.time(1, "out_h")?, minutes) {
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
            name: self.text("rack").map_or_else(|| format!("rack {}", self.at + 1), str::to_owned),
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
        let mut weighed = false;
        for (of_mass, per_mass, m2) in BY_MASS {
            let mass = self.number(of_mass, LEAST, "the mass of the parts, above zero")?;
            let ratio = self.number(per_mass, LEAST, "the area of the parts per mass, above zero")?;
            weighed |= mass.is_some();
            found.extend(mass.zip(ratio).map(|(mass, ratio)| (per_mass, mass * ratio * m2)));
        }
        match (found.as_slice(), weighed, weighed_g) {
            ([(_, area)], ..) => Ok(*area),
            ([_, (column, _), ..], ..) => Err(self.refuse(column, "one area, not two")),
            ([], true, _) => Err(self.refuse(
                "area_dm2",
                "area or area/mass ratio needed: area_dm2, or area_dm2_kg beside mass_kg, or area_ft2_lb \
                 beside mass_lb",
            )),
            ([], false, Some(_)) => {
                let formula = "area missing: a mass gain is a thickness only over an area, t = m/(rho A)";
                Err(self.refuse("area_dm2", formula))
            }
            ([], false, None) => Err(self.refuse("area_dm2", "the area of the rack, above zero")),
        }
    }
}

/// A file by the name that a recipe has for it: relative to the recipe's folder, or to the current one where
/// the name was given from outside.
pub(crate) fn beside(name: &str, named_in: &Place) -> PathBuf {
    let folder = named_in.line.and_then(|_| Path::new(&named_in.file).parent());
    folder.map_or_else(|| name.into(), |folder| folder.join(name))
}
