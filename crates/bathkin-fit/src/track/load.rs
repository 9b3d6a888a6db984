//! The work to come.
//!
//! Racks that are planned are worked as planned. Else the log's past is all that is known of it: with w weeks seen, the work
//! of a member over what the recipe plans is
//!
//! level · exp N(0, 0.06² + 0.12²/w) · mean over the weeks to come of (exp N(0, 0.12²) · mean of past shifts redrawn singly),
//!
//! the level being what the log plated over what the recipe would have plated in the same hours. A member works steadily at
//! that mean: what a bath has worked by its end counts, hardly in which week. Redrawing whole past weeks instead is no better
//! than holding their mean: one or two weeks are nothing to draw from. Scatter of weeks and of levels: invented, tried on
//! simulated baths.

use bathkin::Recipe;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::{Plates, Settings, Used, rest_of_life};
use bathkin::tank::{Balances, Load, Loads, Tank, Work, readings};
use bathkin_statistics::random::Stream;

use crate::data::logs::WorkSource;
use crate::error::DataError;
use crate::track::observed::ObservedLog;
use crate::track::passes::Passes;

const DAY_S: f64 = 24.0 * SECONDS_PER_HOUR;
const WEEK_S: f64 = 7.0 * DAY_S;
/// Relative scatter of a shop's load from week to week, and of its level.
const WEEK: f64 = 0.12;
const LEVEL: f64 = 0.06;
/// A shorter log tells next to nothing of a week, weeks.
const LEAST_WEEKS: f64 = 0.2;
/// Fewer shifts are nothing to draw from.
const FEWEST_SHIFTS: usize = 3;

/// What the work of the rest of its life is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LoadAhead {
    /// Work over what the recipe plans.
    level: f64,
    /// What is known of it; `None` where the plan of the recipe stands.
    past: Option<Past>,
}

/// The work of a log.
#[derive(Debug, Clone, PartialEq)]
struct Past {
    weeks: f64,
    /// Work of each whole shift over their mean; empty where they are too few.
    shifts: Vec<f64>,
}

impl LoadAhead {
    /// The work after a log that ends at `clock_s` of the recipe's schedule, in a bath as it is believed to be: how busy, how
    /// lean and how cool the shop runs it. Where racks of the recipe's calendar were worked the plan stands as it is.
    ///
    /// # Errors
    /// As the life of the bath by its own policies.
    pub fn after(
        recipe: &Recipe,
        log: &ObservedLog,
        of: &Passes,
        tank: &Tank,
        clock_s: f64,
    ) -> Result<Self, DataError> {
        /// A plan is held against a log of at least so many weeks.
        const COMPARED_WEEKS: f64 = 0.1;
        if log.bath.work == WorkSource::ByRacks {
            return Ok(LoadAhead { level: 1.0, past: None });
        }
        let span_s = log.bath.course.last().map_or(0.0, |segment| segment.until_s);
        let weeks = span_s / WEEK_S;
        let past = Some(Past { weeks, shifts: shifts(log, clock_s - span_s) });
        let plan = LoadAhead { level: 1.0, past };
        let (Some(first), Some(last)) = (of.states.first(), of.states.last()) else { return Ok(plan) };
        if weeks < COMPARED_WEEKS {
            return Ok(plan);
        }
        let model = recipe.model()?;
        let totals = &model.fresh_totals_mol_l;
        let balances = Balances::new(tank, totals);
        let plated = |state: &[f64]| readings::turnovers(&balances, state).1;
        let used = Used { state: first.clone(), clock_s: clock_s - span_s };
        let settings = Settings { longest_clock_h: span_s / SECONDS_PER_HOUR, ..model.settings.clone() };
        let planned = rest_of_life(tank, totals, used, &[], &settings, &mut |_| true)?.turnovers_left;
        let level = (plated(last) - plated(first)) / planned;
        Ok(if level.is_finite() && level > 0.0 { LoadAhead { level, ..plan } } else { plan })
    }

    /// Its level.
    pub fn level(&self) -> f64 {
        self.level
    }

    /// The level of a member whose life lasts about so long from now, s.
    pub fn drawn(&self, left_s: f64, stream: &mut Stream) -> f64 {
        let Some(past) = &self.past else { return self.level };
        let weeks = (left_s / WEEK_S).ceil().max(1.0) as usize;
        let level = self.level * (past.level_spread() * stream.normal()).exp();
        let sum: f64 = (0..weeks).map(|_| past.week(stream)).sum();
        level * sum / weeks as f64
    }

    /// What is drawn of it, in words; `None` where the plan stands.
    pub fn told(&self) -> Option<String> {
        let past = self.past.as_ref()?;
        let of_shifts = match past.shifts.len() {
            0 => "work as the recipe plans it".to_owned(),
            shifts => format!("work: {shifts} past shifts redrawn singly"),
        };
        Some(format!(
            "{of_shifts}, times a level of its own (to {:.0} %, from {:.1} weeks of log) and a factor for each week (to {:.0} %)",
            100.0 * past.level_spread(),
            past.weeks,
            100.0 * WEEK
        ))
    }
}

impl Past {
    /// Standard deviation of the logarithm of the level.
    fn level_spread(&self) -> f64 {
        (LEVEL * LEVEL + WEEK * WEEK / self.weeks.max(LEAST_WEEKS)).sqrt()
    }

    /// A week to come, over the mean of past ones.
    fn week(&self, stream: &mut Stream) -> f64 {
        let factor = (WEEK * stream.normal()).exp();
        if self.shifts.is_empty() {
            return factor;
        }
        let each = (self.shifts.len() as f64 / self.weeks).round().max(1.0) as usize;
        let redrawn: f64 = (0..each).map(|_| self.shifts[stream.below(self.shifts.len())]).sum();
        factor * redrawn / each as f64
    }
}

/// Work of each day that was worked over their mean, without the first and the last, which may not be whole; the log begins
/// at `begins_s` of the schedule.
fn shifts(log: &ObservedLog, begins_s: f64) -> Vec<f64> {
    let mut days: Vec<(f64, f64)> = Vec::new();
    let mut since_s = 0.0;
    for segment in &log.bath.course {
        let (Plates::Area(rate) | Plates::Laid(rate)) = segment.plates;
        let work = rate * (segment.until_s - since_s);
        let day = ((begins_s + since_s) / DAY_S).floor();
        since_s = segment.until_s;
        match days.last_mut() {
            Some((last, sum)) if *last == day => *sum += work,
            _ => days.push((day, work)),
        }
    }
    let worked: Vec<f64> = days.into_iter().map(|(_, work)| work).filter(|work| *work > 0.0).collect();
    let whole = worked.get(1..worked.len().saturating_sub(1)).unwrap_or_default();
    if whole.len() < FEWEST_SHIFTS {
        return Vec::new();
    }
    let mean = whole.iter().sum::<f64>() / whole.len() as f64;
    whole.iter().map(|work| work / mean).collect()
}

/// Work times a level.
pub(crate) fn worked(work: &Work, level: f64) -> Work {
    if level == 1.0 {
        return work.clone();
    }
    match work {
        Work::Steady(shifts) => {
            let mut shifts = *shifts;
            shifts.area_m2 *= level;
            Work::Steady(shifts)
        }
        Work::Loads(loads) => {
            let more = |load: &Load| Load { area_m2: load.area_m2 * level, ..load.clone() };
            Work::Loads(Loads::new(loads.racks().iter().map(more).collect()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn draws(load: &LoadAhead, left_s: f64) -> Vec<f64> {
        (0..20_000).map(|member| load.drawn(left_s, &mut Stream::new(3, member))).collect()
    }

    /// Mean, and standard deviation over the mean.
    fn moments(values: &[f64]) -> (f64, f64) {
        let count = values.len() as f64;
        let mean = values.iter().sum::<f64>() / count;
        let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (count - 1.0);
        (mean, variance.sqrt() / mean)
    }

    /// Producer: moments of products of lognormal factors and of a bootstrap mean, to 2 % and the spread to 3 %: for n
    /// weeks of m shifts whose relative variance is c², 1 + s² is that of the level times 1 + ((1 + W)(1 + c²/m) - 1)/n.
    #[test]
    fn the_mean_stays_and_the_spread_is_as_stated() {
        let shifts = vec![0.5, 1.5, 0.8, 1.2, 1.0, 1.0, 0.6, 1.4, 1.1, 0.9];
        let square = shifts.iter().map(|one| (one - 1.0_f64).powi(2)).sum::<f64>() / 10.0;
        for (weeks, left) in [(2.0, 1.0), (2.0, 6.0), (0.1, 3.0)] {
            let per_week = (10.0_f64 / weeks).round();
            let load = LoadAhead { level: 0.9, past: Some(Past { weeks, shifts: shifts.clone() }) };
            let (mean, spread) = moments(&draws(&load, left * WEEK_S));
            let of_level = (0.06_f64.powi(2) + 0.12_f64.powi(2) / f64::max(weeks, 0.2)).exp();
            let of_week = (0.12_f64 * 0.12).exp();
            let of_weeks = 1.0 + (of_week * (1.0 + square / per_week) - 1.0) / left;
            let expected = 0.9 * (of_level * of_week).sqrt();
            assert!((mean / expected - 1.0).abs() < 0.02, "{weeks} {left}: {mean} {expected}");
            let expected = (of_level * of_weeks - 1.0).sqrt();
            assert!((spread / expected - 1.0).abs() < 0.03, "{weeks} {left}: {spread} {expected}");
        }
    }

    #[test]
    fn a_plan_that_stands_is_not_redrawn() {
        let load = LoadAhead { level: 1.0, past: None };
        assert!(draws(&load, 5.0 * WEEK_S).iter().all(|one| *one == 1.0));
        assert_eq!(load.told(), None);
    }
}
