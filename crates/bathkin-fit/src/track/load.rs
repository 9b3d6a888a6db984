//! The work to come.
//!
//! Racks that are planned are worked as planned, and so is what the recipe plans where that is asked for ([`WorkAhead`]).
//! Else the log's past is all that is known of it: with w weeks seen, the work of a member over what the recipe plans is
//!
//! level · exp N(0, 0.06² + 0.12²/w) · mean over the weeks to come of (exp N(0, 0.12²) · mean of past shifts redrawn singly),
//!
//! the level being what the log plated over what the recipe would have plated in the same hours, over whole days where there
//! is one: a log mostly ends before or after the planned end of a shift. Weeks are those whose factors the level is a mean of,
//! w = (Σ W)²/Σ W² with W the work of each: part of a week has one factor too, not more scatter. A member works steadily at
//! that mean: what a bath has worked by its end counts, hardly in which week. Redrawing whole past weeks instead is no better
//! than holding their mean: one or two weeks are nothing to draw from. Scatter of weeks and of levels: invented, tried on
//! simulated baths.

use bathkin::Recipe;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::{Plates, Settings, Used, rest_of_life};
use bathkin::tank::{Balances, Load, Loads, Shifts, Tank, Work, readings};
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
/// Fewer shifts are nothing to draw from.
const FEWEST_SHIFTS: usize = 3;

/// Where the work to come is taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum WorkAhead {
    /// The log: as busy as it was, redrawn. Racks of the recipe's calendar that were worked stay as they are planned.
    #[default]
    AsLogged,
    /// What the recipe plans: not as busy as the log was, but as lean and as cool. Nothing is redrawn.
    AsPlanned,
}

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
    /// Weeks whose factors the level is a mean of.
    weeks: f64,
    /// Work of each whole shift over their mean; empty where they are too few.
    shifts: Vec<f64>,
    /// Shifts of a week.
    per_week: usize,
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
        ahead: WorkAhead,
    ) -> Result<Self, DataError> {
        /// A plan is held against a log of at least so many weeks.
        const COMPARED_WEEKS: f64 = 0.1;
        if log.bath.work == WorkSource::ByRacks {
            return Ok(LoadAhead { level: 1.0, past: None });
        }
        let span_s = log.bath.course.last().map_or(0.0, |segment| segment.until_s);
        let begins_s = clock_s - span_s;
        let past = (ahead == WorkAhead::AsLogged).then(|| Past::of(log, begins_s, span_s));
        let plan = LoadAhead { level: 1.0, past };
        let compared = whole_days(&log.times_h());
        let (Some(first), Some((row, hours))) = (of.states.first(), compared) else { return Ok(plan) };
        if hours * SECONDS_PER_HOUR < COMPARED_WEEKS * WEEK_S {
            return Ok(plan);
        }
        let model = recipe.model()?;
        let totals = &model.fresh_totals_mol_l;
        let balances = Balances::new(tank, totals);
        let plated = |state: &[f64]| readings::turnovers(&balances, state).1;
        let used = Used { state: first.clone(), clock_s: begins_s };
        let settings = Settings { longest_clock_h: hours, ..model.settings.clone() };
        let planned = rest_of_life(tank, totals, used, &[], &settings, &mut |_| true)?.turnovers_left;
        let busy = match (ahead, &tank.operation.work) {
            (WorkAhead::AsPlanned, Work::Steady(shifts)) => worked_over_plan(log, shifts, begins_s, row),
            _ => 1.0,
        };
        let level = (plated(&of.states[row]) - plated(first)) / planned / busy;
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
            "{of_shifts}, times a level of its own (to {:.0} %, from the work of {:.1} weeks) and a factor for each week (to {:.0} %)",
            100.0 * past.level_spread(),
            past.weeks,
            100.0 * WEEK
        ))
    }
}

impl Past {
    /// That of a log which begins at `begins_s` of the schedule.
    fn of(log: &ObservedLog, begins_s: f64, span_s: f64) -> Self {
        let weeks = worked_in(log, begins_s, WEEK_S);
        let (sum, squares) =
            weeks.iter().fold((0.0, 0.0), |(sum, squares), week| (sum + week, squares + week * week));
        let shifts = shifts(log, begins_s);
        let per_week = (shifts.len() as f64 / (span_s / WEEK_S)).round().max(1.0) as usize;
        Past { weeks: if squares > 0.0 { sum * sum / squares } else { 1.0 }, shifts, per_week }
    }

    /// Standard deviation of the logarithm of the level.
    fn level_spread(&self) -> f64 {
        (LEVEL * LEVEL + WEEK * WEEK / self.weeks).sqrt()
    }

    /// A week to come, over the mean of past ones.
    fn week(&self, stream: &mut Stream) -> f64 {
        let factor = (WEEK * stream.normal()).exp();
        if self.shifts.is_empty() {
            return factor;
        }
        let redrawn: f64 = (0..self.per_week).map(|_| self.shifts[stream.below(self.shifts.len())]).sum();
        factor * redrawn / self.per_week as f64
    }
}

/// The row, with its time from the first, h, up to which a log is held against a plan: that of the last day of the log which is
/// nearest to a whole number of days from the first row; the last row of a log of less than a day.
fn whole_days(times_h: &[f64]) -> Option<(usize, f64)> {
    const DAY_H: f64 = 24.0;
    let last = *times_h.last()?;
    let off = |hours: f64| {
        let days = hours / DAY_H;
        (days - days.round().max(1.0)).abs()
    };
    let of_last_day = times_h.iter().copied().enumerate().filter(|(_, hours)| last - hours <= DAY_H);
    // Of two as near the later.
    of_last_day.min_by(|(at, one), (after, other)| off(*one).total_cmp(&off(*other)).then(after.cmp(at)))
}

/// Area and time that was in the tank up to a row, over that of the shifts in the same hours; 1 where the log has thicknesses.
fn worked_over_plan(log: &ObservedLog, shifts: &Shifts, begins_s: f64, row: usize) -> f64 {
    let (mut worked, mut planned, mut since_s) = (0.0, 0.0, 0.0);
    for segment in &log.bath.course {
        let Plates::Area(area_m2) = segment.plates else { return 1.0 };
        worked += area_m2 * (segment.until_s - since_s);
        while since_s < segment.until_s {
            let now_s = begins_s + since_s;
            // By at least a second: a change is at no time but just after it.
            let until_s = (shifts.next_change_s(now_s) - begins_s).max(since_s + 1.0).min(segment.until_s);
            planned += shifts.area_at_m2(now_s) * (until_s - since_s);
            since_s = until_s;
        }
        if segment.row == Some(row) {
            break;
        }
    }
    if worked > 0.0 && planned > 0.0 { worked / planned } else { 1.0 }
}

/// Work of each day or week of the schedule that was worked; the log begins at `begins_s` of it.
fn worked_in(log: &ObservedLog, begins_s: f64, each_s: f64) -> Vec<f64> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    let mut since_s = 0.0;
    for segment in &log.bath.course {
        let (Plates::Area(rate) | Plates::Laid(rate)) = segment.plates;
        let work = rate * (segment.until_s - since_s);
        let number = ((begins_s + since_s) / each_s).floor();
        since_s = segment.until_s;
        match found.last_mut() {
            Some((last, sum)) if *last == number => *sum += work,
            _ => found.push((number, work)),
        }
    }
    found.into_iter().map(|(_, work)| work).filter(|work| *work > 0.0).collect()
}

/// Work of each day that was worked over their mean, without the first and the last, which may not be whole.
fn shifts(log: &ObservedLog, begins_s: f64) -> Vec<f64> {
    let worked = worked_in(log, begins_s, DAY_S);
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
        for (weeks, left) in [(2.0, 1.0), (2.0, 6.0), (1.0, 3.0)] {
            let per_week = (10.0_f64 / weeks).round();
            let past = Past { weeks, shifts: shifts.clone(), per_week: per_week as usize };
            let load = LoadAhead { level: 0.9, past: Some(past) };
            let (mean, spread) = moments(&draws(&load, left * WEEK_S));
            let of_level = (0.06_f64.powi(2) + 0.12_f64.powi(2) / weeks).exp();
            let of_week = (0.12_f64 * 0.12).exp();
            let of_weeks = 1.0 + (of_week * (1.0 + square / per_week) - 1.0) / left;
            let expected = 0.9 * (of_level * of_week).sqrt();
            assert!((mean / expected - 1.0).abs() < 0.02, "{weeks} {left}: {mean} {expected}");
            let expected = (of_level * of_weeks - 1.0).sqrt();
            assert!((spread / expected - 1.0).abs() < 0.03, "{weeks} {left}: {spread} {expected}");
        }
    }

    /// Rows at 6, 8, 10 and 12 o'clock: a log that ends at ten on the third day is held against two days.
    #[test]
    fn a_plan_is_held_against_whole_days() {
        let times: Vec<f64> =
            (0..3).flat_map(|day| (0..4).map(move |of| f64::from(24 * day + 2 * of))).collect();
        assert_eq!(whole_days(&times[..10]), Some((8, 48.0)));
        assert_eq!(whole_days(&times[..8]), Some((4, 24.0)));
        assert_eq!(whole_days(&times[..4]), Some((3, 6.0)));
        assert_eq!(whole_days(&[]), None);
    }

    #[test]
    fn a_plan_that_stands_is_not_redrawn() {
        let load = LoadAhead { level: 1.0, past: None };
        assert!(draws(&load, 5.0 * WEEK_S).iter().all(|one| *one == 1.0));
        assert_eq!(load.told(), None);
    }
}
