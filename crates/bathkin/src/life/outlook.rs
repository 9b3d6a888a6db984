//! When each limit is reached, read off the table of a life.

use schemars::JsonSchema;
use serde::Serialize;

use super::Verdict;
use super::limits::{GivenLimit, Limit};
use super::table::Table;
use crate::tank::{Quantity, Tank};

/// A moment of a life, between two rows of its table.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct LimitCrossing {
    /// Turnovers by metal replenished.
    pub turnovers: f64,
    /// Clock time, h.
    pub clock_h: f64,
    /// Area plated, m².
    pub area_m2: f64,
}

impl LimitCrossing {
    /// The end of a life.
    pub fn at_end(verdict: &Verdict) -> Self {
        LimitCrossing { turnovers: verdict.turnovers, clock_h: verdict.clock_h, area_m2: verdict.area_m2 }
    }
}

/// When a limit is reached.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Outlook {
    /// Name of the limit.
    pub name: String,
    /// Path it was set by.
    pub path: String,
    /// The substrate it holds for; none: whatever is plated.
    pub substrate: Option<String>,
    /// Whether it ends this life: false for a cap of other work.
    pub applies: bool,
    /// The bound.
    pub bound: f64,
    /// The same in the words and the unit it was set in.
    pub as_given: GivenLimit,
    /// When it is reached; `None` when the table ends before.
    pub reached: Option<LimitCrossing>,
    /// Turnovers up to which it was looked for.
    pub looked_to_turnovers: f64,
    /// Clock time of those, h.
    pub looked_to_h: f64,
    /// Whether that is after the life ended.
    pub past_first_limit: bool,
}

/// When a limit is first reached along a table: on the straight line between the two rows around it.
///
/// `None` when it is not reached, or no column shows its reading.
pub fn crossing(limit: &Limit, tank: &Tank, table: &Table) -> Option<LimitCrossing> {
    let readings = limit.along(tank, table)?;
    let after = readings.iter().position(|reading| limit.margin_of(*reading) <= 0.0)?;
    let before = after.saturating_sub(1);
    let (from, to) = (limit.margin_of(readings[before]), limit.margin_of(readings[after]));
    let share = if from == to { 1.0 } else { from / (from - to) };
    let between = |quantity: Quantity| {
        let [before, after] = [before, after].map(|row| table.at(tank, quantity, row));
        before + share * (after - before)
    };
    Some(LimitCrossing {
        turnovers: between(Quantity::TURNOVERS),
        clock_h: between(Quantity::CLOCK_H),
        area_m2: between(Quantity::AREA_M2),
    })
}
