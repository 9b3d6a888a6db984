//! Dates and times of a calendar: `2026-03-02T06:00`, as ISO 8601 writes local time.
//!
//! The clock of a shop runs on evenly: a time zone is refused, and a change to summer time is not known.
//! Days are counted in the Gregorian calendar (proleptic before 1582), algorithm of H. Hinnant,
//! "chrono-compatible low-level date algorithms" (2014), `days_from_civil`.

use crate::constants::SECONDS_PER_HOUR;

/// What a timestamp must look like, for messages.
pub(super) const TIMESTAMP: &str = "a date and time such as 2026-03-02T06:00, without a time zone";

/// Seconds since 1970-01-01T00:00; none for what is no timestamp.
pub(super) fn seconds_of(text: &str) -> Option<f64> {
    let (date, time) = text.split_once(['T', ' ']).unwrap_or((text, "00:00"));
    let mut parts = date.split('-');
    let mut next = |digits: usize| whole(parts.next()?, digits);
    let (year, month, day) = (next(4)?, next(2)?, next(2)?);
    if parts.next().is_some() || !(1..=12).contains(&month) || !(1..=days_in(year, month)).contains(&day) {
        return None;
    }
    let mut parts = time.split(':');
    let (hour, minute) = (whole(parts.next()?, 2)?, whole(parts.next()?, 2)?);
    let second = parts.next().map_or(Some(0), |text| whole(text, 2))?;
    if parts.next().is_some() || hour > 23 || minute > 59 || second > 59 {
        return None;
    }
    let of_day = (hour * 60 + minute) * 60 + second;
    Some(days_since_1970(year, month, day) as f64 * 24.0 * SECONDS_PER_HOUR + of_day as f64)
}

fn whole(text: &str, digits: usize) -> Option<i64> {
    let all_digits = text.len() == digits && text.bytes().all(|byte| byte.is_ascii_digit());
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
        assert_eq!(seconds_of("2026-03-02T06:00"), Some(1_772_431_200.0));
        assert_eq!(seconds_of("2024-02-29 23:59:59"), Some(1_709_251_199.0));
        assert_eq!(seconds_of("1970-01-01"), Some(0.0));
        for wrong in
            ["2026-02-29T06:00", "2026-3-2", "06:00", "2026-03-02T6", "2026-03-02T06:00Z", "2.3.2026"]
        {
            assert_eq!(seconds_of(wrong), None, "{wrong}");
        }
    }
}
