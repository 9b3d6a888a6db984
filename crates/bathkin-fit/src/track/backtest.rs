//! A backtest: the tail of a log hidden, the dump forecast from several rows, and the forecasts scored against what came.
//!
//! What came is when the bath was dumped, where that is told; else the date that the whole log gives, which says less.
//! Rivals: the earliest limit that straight lines through the log's own readings come to, and the life of the last bath.

use bathkin::Recipe;
use bathkin_statistics::scores::{crps, line_reaches};
use schemars::JsonSchema;
use serde::Serialize;

use crate::data::sheet::Sheet;
use crate::error::{DataError, RequestProblem};
use crate::track::observed::ObservedLog;
use crate::track::today::{TrackOptions, track};

/// How to backtest.
#[derive(Debug, Clone, PartialEq)]
pub struct BacktestOptions {
    /// How each forecast is made.
    pub track: TrackOptions,
    /// Rows after which to forecast, counted from 1; none: a quarter, a half and three quarters of the log.
    pub rows: Vec<usize>,
    /// When it was dumped, h from the first row.
    pub dumped_h: Option<f64>,
    /// How long the last bath lasted, h.
    pub last_bath_h: Option<f64>,
}

/// Forecasts of a log whose tail was hidden.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Backtest {
    /// When the bath was dumped, h from the first row.
    pub came_h: f64,
    /// `dumped` where that is told; `whole_log`: the P50 of the whole log.
    pub came_by: &'static str,
    /// Each forecast.
    pub cuts: Vec<BacktestCut>,
    /// Share of the forecasts whose P10 to P90 holds it; eight of ten are right.
    pub coverage: f64,
    /// Mean CRPS, h.
    pub crps_h: f64,
    /// Mean error of the straight lines, h; none where they never reach a limit.
    pub lines_h: Option<f64>,
    /// Error of the life of the last bath, h.
    pub last_bath_h: Option<f64>,
}

/// A forecast from the first rows.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct BacktestCut {
    /// Rows that were seen.
    pub rows: usize,
    /// Time of the last of them, h.
    pub at_h: f64,
    /// One of ten members has ended by then, h from the first row; none where so many outlive the longest.
    pub p10_h: Option<f64>,
    /// The median.
    pub p50_h: Option<f64>,
    /// Nine of ten.
    pub p90_h: Option<f64>,
    /// Whether P10 to P90 holds what came.
    pub inside: bool,
    /// CRPS, h.
    pub crps_h: f64,
    /// Where straight lines through the readings come to a limit first, h from the first row.
    pub lines_h: Option<f64>,
}

/// Forecasts from several rows of a log, scored. `report` hears how many members are done in all.
///
/// # Errors
/// As [`track`]; rows that are none of the log, or fewer than two.
pub fn backtest(
    recipe: &Recipe,
    log: &Sheet,
    options: &BacktestOptions,
    report: &(dyn Fn(usize) -> bool + Sync),
) -> Result<Backtest, DataError> {
    let all = log.rows.len();
    let cuts: Vec<usize> = match options.rows.as_slice() {
        [] => [1, 2, 3].map(|part| all * part / 4).into_iter().filter(|rows| *rows > 1).collect(),
        asked => asked.to_vec(),
    };
    if let Some(rows) = cuts.iter().find(|rows| !(2..=all).contains(*rows)) {
        return Err(RequestProblem::CutOutside { file: log.file.clone(), rows: *rows, all }.into());
    }
    let each = options.track.members;
    let how = TrackOptions { held_numbers: false, ..options.track.clone() };
    let (came_h, came_by) = match options.dumped_h {
        Some(hours) => (hours, "dumped"),
        None => {
            let whole = track(recipe, log, &how, &|done| report(done))?.track;
            let Some(hours) = whole.dump.clock_h.p50 else {
                return Err(RequestProblem::NoDump { file: log.file.clone() }.into());
            };
            (hours, "whole_log")
        }
    };
    let mut found = Vec::with_capacity(cuts.len());
    for (number, rows) in cuts.iter().enumerate() {
        let seen = first_rows(log, *rows);
        let before = (number + 1) * each;
        let found_here = track(recipe, &seen, &how, &|done| report(before + done))?.track;
        let ends: Vec<f64> = found_here.ends_h.iter().flatten().copied().collect();
        let spread = found_here.dump.clock_h;
        let inside =
            spread.p10.is_some_and(|early| early <= came_h) && spread.p90.is_none_or(|late| came_h <= late);
        found.push(BacktestCut {
            rows: *rows,
            at_h: found_here.now_h,
            p10_h: spread.p10,
            p50_h: spread.p50,
            p90_h: spread.p90,
            inside,
            crps_h: crps(&ends, came_h),
            lines_h: lines(recipe, &seen, found_here.now_h)?,
        });
    }
    let count = found.len() as f64;
    let known: Vec<f64> =
        found.iter().filter_map(|cut| cut.lines_h).map(|hours| (hours - came_h).abs()).collect();
    Ok(Backtest {
        came_h,
        came_by,
        coverage: found.iter().filter(|cut| cut.inside).count() as f64 / count,
        crps_h: found.iter().map(|cut| cut.crps_h).sum::<f64>() / count,
        lines_h: (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64),
        last_bath_h: options.last_bath_h.map(|hours| (hours - came_h).abs()),
        cuts: found,
    })
}

/// The first rows of a log.
fn first_rows(log: &Sheet, count: usize) -> Sheet {
    let mut cut = log.clone();
    cut.rows.truncate(count);
    cut.columns.iter_mut().for_each(|(_, cells)| cells.truncate(count));
    cut.labels.iter_mut().for_each(|(_, cells)| cells.truncate(count));
    cut
}

/// The earliest time at which a straight line through the readings of a column comes to a limit on it, h.
fn lines(recipe: &Recipe, log: &Sheet, now_h: f64) -> Result<Option<f64>, DataError> {
    let model = recipe.model()?;
    let tank = &model.tank;
    let observed = ObservedLog::read(recipe, log)?;
    let hours = observed.times_h();
    let mut first: Option<f64> = None;
    for limit in &model.limits {
        let of = limit.quantity.content(tank);
        let points: Vec<(f64, f64)> = observed
            .readings
            .iter()
            .filter_map(|one| {
                let value = match (of, one.reading.content(tank)) {
                    (Some((slot, of_limit)), Some((own, of_column))) if slot == own => {
                        one.value / of_column * of_limit
                    }
                    (None, None) if one.reading.quantity == limit.quantity => one.value,
                    _ => return None,
                };
                (!one.below).then(|| (hours[one.row], value))
            })
            .collect();
        let reached = line_reaches(&points, limit.bound, now_h);
        first = match (first, reached) {
            (Some(known), Some(here)) => Some(known.min(here)),
            (known, here) => known.or(here),
        };
    }
    Ok(first)
}
