//! What is asked of a forecast, and what it says.

use bathkin::flag::Flag;
use bathkin::life::Verdict;
use schemars::JsonSchema;
use serde::Serialize;

use crate::predict::dates::MadeUp;
use crate::predict::held::HeldNumber;
use crate::predict::spread::{DateSpread, Spread};
use bathkin::Remark;

/// How to forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastOptions {
    /// Lives.
    pub count: usize,
    /// Seed of the draws.
    pub seed: u64,
    /// Forecast though the model misses the data ([`RecipeFit::misfit`](crate::RecipeFit::misfit)).
    pub despite_misfit: bool,
    /// When the bath was made up, for the dates of the dump.
    pub made_up: Option<MadeUp>,
    /// First row of the log by the clock on the wall, seconds since 1970-01-01 00:00; none without timestamps, and with
    /// several logs.
    pub log_start_s: Option<f64>,
}

impl Default for ForecastOptions {
    /// 200 lives of a bath whose make-up has no date.
    fn default() -> Self {
        ForecastOptions { count: 200, seed: 1, despite_misfit: false, made_up: None, log_start_s: None }
    }
}

/// When a bath will be dumped, as a spread of lives.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct DumpForecast {
    /// Time since make-up, h.
    pub clock_h: Spread,
    /// Time with work in the tank, h.
    pub plating_h: Spread,
    /// Metal turnovers by metal replenished.
    pub turnovers: Spread,
    /// Area plated, m².
    pub area_m2: Spread,
    /// Day, and within two days of the make-up the time, where that is known.
    pub date: DateSpread,
}

/// Simulated bath lives, sampled from the fit.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Forecast {
    /// Lives asked for.
    pub draws: usize,
    /// When it will be dumped.
    pub dump: DumpForecast,
    /// Which limit comes first, by name with its probability, the likeliest first; `none` for lives that reach none.
    #[serde(serialize_with = "bathkin::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub first_limit: Vec<(String, f64)>,
    /// Lives that reached no limit in the longest time; they count as longer than any number.
    pub beyond: usize,
    /// The longest time that a life is followed, h.
    pub longest_clock_h: f64,
    /// Draws that the recipe or the simulation refuses; they are in no spread, so that many make it too narrow.
    pub failed: usize,
    /// Why the first of them failed.
    pub first_failure: Option<Remark>,
    /// The life at the estimates, as if they were exact: nothing else is drawn, so it has no spread.
    pub at_estimates: Verdict,
    /// Its day; none where nothing is known of the make-up.
    pub date_at_estimates: Option<String>,
    /// Warnings that go with that life.
    pub flags: Vec<Flag>,
    /// Fitted numbers without an uncertainty, the same in every life.
    pub held: Vec<String>,
    /// Numbers that were never fitted and are invented or widely uncertain, with the hours by which ten per cent more
    /// of each changes the dump, the strongest first.
    pub held_numbers: Vec<HeldNumber>,
    /// The life of each draw, in order; `None` where it failed.
    pub lives: Vec<Option<Verdict>>,
    /// What limits the forecast, then the remarks of the fit.
    pub remarks: Vec<Remark>,
}

impl Forecast {
    /// Time of the dump in words, `beyond` where fewer draws than that reach a limit.
    pub fn words(&self) -> String {
        let hours = |value: Option<f64>| match value {
            Some(hours) => format!("{hours:.1} h"),
            None => format!("beyond {:.0} h", self.longest_clock_h),
        };
        let Spread { p10, p50, p90 } = self.dump.clock_h;
        format!("dump at {} (P10 {}, P90 {})", hours(p50), hours(p10), hours(p90))
    }
}
