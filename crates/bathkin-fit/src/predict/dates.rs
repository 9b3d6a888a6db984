//! Days of a forecast.
//!
//! Calendar from days by the algorithm of H. Hinnant, "chrono-compatible low-level date algorithms" (2014),
//! `civil_from_days`: the proleptic Gregorian calendar, here from 0001 to 9999.

use crate::error::{DataError, RequestProblem};
use crate::predict::spread::{DateSpread, Spread};

/// When a bath was made up, by the clock on the wall.
#[derive(Debug, Clone, PartialEq)]
pub struct MadeUp {
    /// Seconds since 1970-01-01 00:00.
    pub at_s: f64,
    /// What is written behind a time of day: an offset from UTC, or nothing.
    pub zone: String,
}

impl MadeUp {
    /// The day so many hours later; within two days of the make-up with the time, `2026-03-04 07:30`.
    ///
    /// # Errors
    /// [`RequestProblem::AfterLastDate`] beyond the year 9999.
    pub fn day_after(&self, hours: f64) -> Result<String, DataError> {
        /// Hours after which a minute of the dump is no news.
        const TO_THE_MINUTE_H: f64 = 48.0;
        let text = moment(self.at_s + 3600.0 * hours);
        if text.find('-') != Some(4) {
            return Err(RequestProblem::AfterLastDate { made_up: moment(self.at_s) }.into());
        }
        let day = text.split(' ').next().unwrap_or_default();
        Ok(if hours <= TO_THE_MINUTE_H { format!("{text}{}", self.zone) } else { day.to_owned() })
    }

    pub(crate) fn spread(&self, hours: &Spread) -> Result<DateSpread, DataError> {
        let day = |hours: Option<f64>| hours.map(|hours| self.day_after(hours)).transpose();
        Ok(DateSpread { p10: day(hours.p10)?, p50: day(hours.p50)?, p90: day(hours.p90)? })
    }
}

/// A moment to the minute, from seconds since 1970-01-01 00:00.
pub(crate) fn moment(seconds: f64) -> String {
    // To the microsecond: what was added up may miss a minute by rounding.
    let minutes = ((seconds * 1e6).round() / 60e6).floor() as i64;
    let (days, minute) = (minutes.div_euclid(1440), minutes.rem_euclid(1440));
    let (year, month, day) = civil(days);
    format!("{year:04}-{month:02}-{day:02} {:02}:{:02}", minute / 60, minute % 60)
}

/// Year, month and day, from days since 1970-01-01.
fn civil(days: i64) -> (i64, i64, i64) {
    let days = days + 719_468;
    let (era, of_era) = (days.div_euclid(146_097), days.rem_euclid(146_097));
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let from_march = (5 * of_year + 2) / 153;
    let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
    let year = year_of_era + 400 * era + i64::from(month <= 2);
    (year, month, of_year - (153 * from_march + 2) / 5 + 1)
}

#[cfg(test)]
mod tests {
    use super::{MadeUp, moment};

    #[test]
    fn moments_are_those_of_the_calendar() {
        // Producer: `date -u -d @SECONDS`.
        for (seconds, text) in [
            (0.0, "1970-01-01 00:00"),
            (951_782_399.0, "2000-02-28 23:59"),
            (951_868_800.0, "2000-03-01 00:00"),
            (1_772_611_200.0, "2026-03-04 08:00"),
            (-86_400.0, "1969-12-31 00:00"),
        ] {
            assert_eq!(moment(seconds), text);
        }
    }

    #[test]
    fn a_day_is_as_precise_as_it_can_be_known() {
        let made_up = MadeUp { at_s: 1_772_611_200.0, zone: "+01:00".to_owned() };
        assert_eq!(made_up.day_after(23.0 + 31.0 / 60.0).unwrap(), "2026-03-05 07:31+01:00");
        assert_eq!(made_up.day_after(385.5).unwrap(), "2026-03-20");
        assert!(made_up.day_after(1e9).is_err());
    }
}
