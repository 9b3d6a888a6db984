//! Dates and times in the forms people write, all of a table in one form.
//!
//! Read are `2026-03-04 07:30` (ISO 8601, also with `T`, seconds, `Z` or an offset), `2026/03/04`,
//! `04.03.2026 07:30`, `3/14/2026 7:30 AM`. Days are counted in the Gregorian calendar (proleptic before 1582),
//! algorithm of H. Hinnant, "chrono-compatible low-level date algorithms" (2014), `days_from_civil`.

use crate::document::table::{Assumed, TableError};

/// What a date must look like, for messages.
pub const EXPECTED: &str = "a date and time such as 2026-03-04 07:30";

/// A moment on a clock that runs on evenly, with its offset from UTC where that is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// Year.
    pub year: i64,
    /// Month, 1 to 12.
    pub month: i64,
    /// Day of the month.
    pub day: i64,
    /// Hour, 0 to 23.
    pub hour: i64,
    /// Minute.
    pub minute: i64,
    /// Second.
    pub second: i64,
    /// Microsecond.
    pub microsecond: i64,
    /// Seconds that the clock is ahead of UTC.
    pub offset_s: Option<i64>,
}

impl Moment {
    /// Seconds since 1970-01-01 00:00, of UTC where the offset is known.
    pub fn seconds(&self) -> f64 {
        let days = days_since_1970(self.year, self.month, self.day);
        let of_day = (self.hour * 60 + self.minute) * 60 + self.second - self.offset_s.unwrap_or(0);
        (days * 86_400 + of_day) as f64 + self.microsecond as f64 * 1e-6
    }
}

impl std::fmt::Display for Moment {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Moment { year, month, day, hour, minute, .. } = self;
        write!(f, "{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}")?;
        self.offset_s.map_or(Ok(()), |offset| {
            let (sign, minutes) = (if offset < 0 { '-' } else { '+' }, offset.abs() / 60);
            write!(f, "{sign}{:02}:{:02}", minutes / 60, minutes % 60)
        })
    }
}

/// A date as written, before it is known which part is the day.
struct Date<'a> {
    form: Form,
    year: i64,
    one: i64,
    two: i64,
    clock: &'a str,
}

/// `Last` has the year behind, with what parts it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Iso,
    First,
    Last(char),
}

/// Whether a text looks like a date.
pub fn is_date(text: &str) -> bool {
    form(text).is_some()
}

/// The moments of cells, each with its row and heading, all written in one form. What was decided goes to
/// `assumed`.
///
/// # Errors
/// What is no date, more than one form, a day and month that no row tells apart, a time of day or a zone in some rows only.
///
/// ```
/// use bathkin::document::table::dates::moments;
///
/// let mut assumed = Vec::new();
/// let found = moments(&[(1, "when", "04.03.2026 07:30")], &mut assumed)?;
/// assert_eq!(found[0].to_string(), "2026-03-04 07:30");
/// assert_eq!(assumed[0].taken, "day.month.year: 2026-03-04 07:30");
/// # Ok::<(), bathkin::document::table::TableError>(())
/// ```
pub fn moments(cells: &[(usize, &str, &str)], assumed: &mut Vec<Assumed>) -> Result<Vec<Moment>, TableError> {
    let mut wrong = Vec::new();
    let found = readable(cells, assumed, &mut wrong);
    match wrong.into_iter().next() {
        Some(error) => Err(error),
        None => Ok(found.into_iter().flatten().collect()),
    }
}

/// The same, where every cell that cannot be read goes to `wrong` and has no moment.
pub fn readable(
    cells: &[(usize, &str, &str)],
    assumed: &mut Vec<Assumed>,
    wrong: &mut Vec<TableError>,
) -> Vec<Option<Moment>> {
    let mut found = vec![None; cells.len()];
    let mut dates: Vec<(usize, Date)> = Vec::with_capacity(cells.len());
    for (at, cell) in cells.iter().enumerate() {
        match date(cell) {
            Err(error) => wrong.push(error),
            Ok(date) if dates.first().is_some_and(|(_, first)| first.form != date.form) => {
                let expected = format!("the form of the rows above, {}", cells[dates[0].0].2);
                wrong.push(TableError::cell(cell.0, cell.1, cell.2, expected));
            }
            Ok(date) => dates.push((at, date)),
        }
    }
    let Some(first) = dates.first().map(|(at, _)| cells[*at]) else { return found };
    let (day_first, why) = match order(cells, &dates) {
        Ok(order) => order,
        Err(error) => {
            wrong.push(error);
            return found;
        }
    };
    let mut zone: Option<bool> = None;
    for (at, date) in &dates {
        let (row, column, text) = cells[*at];
        let (day, month) = if day_first { (date.one, date.two) } else { (date.two, date.one) };
        let Some(moment) = moment(date, month, day) else {
            wrong.push(TableError::cell(row, column, text, EXPECTED));
            continue;
        };
        if *zone.get_or_insert(moment.offset_s.is_none()) != moment.offset_s.is_none() {
            wrong.push(TableError::cell(row, column, text, "a time zone in every row, or in none"));
            continue;
        }
        found[*at] = Some(moment);
    }
    if let Some((why, moment)) = why.zip(found.iter().flatten().next()) {
        let taken = format!("{why}: {moment}");
        assumed.push(Assumed::new(None, first.1, first.2, taken, "the same in every row"));
    }
    let bare: Vec<usize> =
        dates.iter().filter(|(_, date)| date.clock.is_empty()).map(|(at, _)| *at).collect();
    if (1..dates.len()).contains(&bare.len()) {
        let (row, column, text) = cells[bare[0]];
        wrong.push(TableError::cell(row, column, text, "a time of day in every row, or in none"));
    } else if !bare.is_empty() {
        assumed.push(Assumed::new(None, first.1, first.2, "midnight", "no time of day"));
    }
    found
}

fn date<'a>((row, column, text): &(usize, &str, &'a str)) -> Result<Date<'a>, TableError> {
    if crate::document::table::marks::is_empty(text) {
        return Err(TableError::cell(*row, column, text, format!("{EXPECTED} in every row")));
    }
    form(text).ok_or_else(|| {
        let serial = crate::document::table::marks::number(&text.replace(',', "."), None).is_some();
        let hint = if serial { ": is it the number a spreadsheet keeps for a date?" } else { "" };
        TableError::cell(*row, column, text, format!("{EXPECTED}{hint}"))
    })
}

/// A date by its parts; none for what does not look like one.
fn form(text: &str) -> Option<Date<'_>> {
    let (first, rest) = digits(text)?;
    let mark = rest.chars().next().filter(|mark| "-/.".contains(*mark))?;
    let (one, rest) = digits(&rest[1..])?;
    let (two, clock) = digits(rest.strip_prefix(mark)?)?;
    let whole = |text: &str| text.parse::<i64>().ok();
    let short = |text: &str| text.len() <= 2;
    let trimmed = clock.trim();
    if first.len() == 4 && short(one) && short(two) {
        // Behind the two digits of ISO comes a clock or nothing.
        let iso = mark == '-' && one.len() == 2 && two.len() == 2;
        let clocked = clock.is_empty() || clock.starts_with(['T', ' ']);
        let form = if iso { Form::Iso } else { Form::First };
        return ((iso && clocked) || mark != '-').then_some(Date {
            form,
            year: whole(first)?,
            one: whole(one)?,
            two: whole(two)?,
            clock: trimmed,
        });
    }
    (two.len() == 4 && short(first) && short(one)).then_some(Date {
        form: Form::Last(mark),
        year: whole(two)?,
        one: whole(first)?,
        two: whole(one)?,
        clock: trimmed,
    })
}

/// One to four digits at the beginning, and the rest.
fn digits(text: &str) -> Option<(&str, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    (1..=4).contains(&end).then(|| text.split_at(end))
}

/// Whether the day stands before the month, and the words where that was a decision.
fn order(
    cells: &[(usize, &str, &str)],
    dates: &[(usize, Date)],
) -> Result<(bool, Option<String>), TableError> {
    let mark = match dates.first().map(|(_, date)| date.form) {
        None | Some(Form::Iso) => return Ok((false, None)),
        Some(Form::First) => return Ok((false, Some("year, month, day".to_owned()))),
        Some(Form::Last('.')) => return Ok((true, Some("day.month.year".to_owned()))),
        Some(Form::Last(mark)) => mark,
    };
    let refuse = |at: usize, expected: String| {
        let (row, column, text) = cells[at];
        Err(TableError::cell(row, column, text, expected))
    };
    let at = |like: &dyn Fn(&Date) -> bool| dates.iter().find(|(_, date)| like(date)).map(|(at, _)| *at);
    let day_first = at(&|date| date.one > 12);
    let month_first = at(&|date| date.two > 12);
    match (day_first, month_first) {
        (Some(day), Some(month)) => {
            refuse(day.max(month), format!("day and month in the order of {}", cells[day.min(month)].2))
        }
        (Some(at), None) => {
            Ok((true, Some(format!("day{mark}month{mark}year as row {} tells", cells[at].0))))
        }
        (None, Some(at)) => {
            Ok((false, Some(format!("month{mark}day{mark}year as row {} tells", cells[at].0))))
        }
        (None, None) => match at(&|date| date.one != date.two) {
            Some(at) => {
                let why = "no row tells whether the day or the month comes first";
                refuse(at, format!("{EXPECTED}: {why}"))
            }
            None => Ok((true, None)),
        },
    }
}

fn moment(date: &Date, month: i64, day: i64) -> Option<Moment> {
    let Clock { hour, minute, second, microsecond, offset_s } = clock(date.clock)?;
    let in_month = (1..=12).contains(&month) && (1..=days_in(date.year, month)).contains(&day);
    in_month.then_some(Moment { year: date.year, month, day, hour, minute, second, microsecond, offset_s })
}

#[derive(Default)]
struct Clock {
    hour: i64,
    minute: i64,
    second: i64,
    microsecond: i64,
    offset_s: Option<i64>,
}

/// `7:30`, `T07:30:15.5`, `7:30 PM`, each with `Z` or an offset behind it or not; empty for midnight.
fn clock(text: &str) -> Option<Clock> {
    let text = text.strip_prefix(['T', ',']).unwrap_or(text).trim_start();
    if text.is_empty() {
        return Some(Clock::default());
    }
    let (text, offset_s) = with_offset(text)?;
    let lower = text.to_lowercase();
    let half = ["am", "pm"].into_iter().find(|half| lower.ends_with(half));
    let plain = half.map_or(lower.as_str(), |half| lower.trim_end_matches(half)).trim_end();
    let mut parts = plain.split(':');
    let hour = whole(parts.next()?, 1, 2)?;
    let minute = whole(parts.next()?, 2, 2)?;
    let (second, microsecond) = match parts.next() {
        Some(part) => {
            let (whole_s, fraction) = part.split_once('.').unwrap_or((part, ""));
            let digits: String = fraction.chars().chain("000000".chars()).take(6).collect();
            (whole(whole_s, 2, 2)?, whole(&digits, 6, 6)?)
        }
        None => (0, 0),
    };
    let hour = match half {
        Some(_) if !(1..=12).contains(&hour) => return None,
        Some(half) => hour % 12 + if half == "pm" { 12 } else { 0 },
        None => hour,
    };
    let known = parts.next().is_none() && hour < 24 && minute < 60 && second < 60;
    known.then_some(Clock { hour, minute, second, microsecond, offset_s })
}

/// A clock without its zone, and the seconds that zone is ahead of UTC.
fn with_offset(text: &str) -> Option<(&str, Option<i64>)> {
    if let Some(plain) = text.strip_suffix(['Z', 'z']) {
        return Some((plain, Some(0)));
    }
    let Some(at) = text.rfind(['+', '-']) else { return Some((text, None)) };
    let digits = text[at + 1..].replace(':', "");
    let hours = whole(digits.get(..2)?, 2, 2)?;
    let minutes =
        digits.get(2..).filter(|rest| !rest.is_empty()).map_or(Some(0), |rest| whole(rest, 2, 2))?;
    let ahead = (hours * 60 + minutes) * 60;
    let sign = if text[at..].starts_with('-') { -1 } else { 1 };
    (hours < 24 && minutes < 60).then_some((text[..at].trim_end(), Some(sign * ahead)))
}

fn whole(text: &str, least: usize, most: usize) -> Option<i64> {
    let all_digits = (least..=most).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    if all_digits { text.parse().ok() } else { None }
}

fn is_leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

fn days_in(year: i64, month: i64) -> i64 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

fn days_since_1970(year: i64, month: i64, day: i64) -> i64 {
    // Years begin in March, so that the leap day is the last.
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let of_era = year.rem_euclid(400);
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_days_and_seconds() {
        // `date -u -d 2026-03-02T06:00 +%s` and so on (GNU coreutils).
        let seconds = |text: &str| {
            let found = moments(&[(1, "when", text)], &mut Vec::new());
            found.ok().map(|found| found[0].seconds())
        };
        assert_eq!(seconds("2026-03-02T06:00"), Some(1_772_431_200.0));
        assert_eq!(seconds("2026-03-02T07:00+01:00"), Some(1_772_431_200.0));
        assert_eq!(seconds("02.03.2026 06:00"), Some(1_772_431_200.0));
        assert_eq!(seconds("2024-02-29 23:59:59"), Some(1_709_251_199.0));
        assert_eq!(seconds("1970-01-01"), Some(0.0));
        for wrong in
            ["2026-02-29T06:00", "2026-3-2", "06:00", "2026-03-02T6", "2.3.26", "2.13.2026", "3/4/2026"]
        {
            assert_eq!(seconds(wrong), None, "{wrong}");
        }
    }
}
