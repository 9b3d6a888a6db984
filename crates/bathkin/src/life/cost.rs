//! When dumping a bath is cheapest, by what it would have cost at each row of its table.

use schemars::JsonSchema;
use serde::Serialize;

use super::table::Table;
use crate::tank::{Cost, CostPoint, Quantity, Tank};

/// Where dumping is cheapest.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Optimum {
    /// Turnovers by metal replenished.
    pub turnovers: f64,
    /// Turnovers by metal plated.
    pub turnovers_plated: f64,
    /// Clock time, h.
    pub clock_h: f64,
    /// Cost per um dm² there.
    pub cost_per_um_dm2: f64,
}

/// What the bath has cost if dumped at each row of its table; none for a table that lacks a column for it.
pub fn points(cost: &Cost, tank: &Tank, table: &Table) -> Vec<CostPoint> {
    (0..table.rows()).map(|row| cost.point(|quantity| table.at(tank, quantity, row))).collect()
}

/// Cost per um dm² of a bath dumped at the last row of its table, without the steps of single doses; none for an empty table.
///
/// Between two doses a bath owes the part of a dose that it has used. With c the metal, c₀ that of the first row and n
/// the turnovers replenished, it owes 1 − c/c₀ turnovers: what was fed counts (n + 1 − c/c₀)/n times, and the metal in
/// the waste is c₀. A bath that got no metal owes nothing.
pub fn cost_without_steps(cost: &Cost, tank: &Tank, table: &Table) -> Option<f64> {
    let last = table.rows().checked_sub(1)?;
    let [first_g_l, metal_g_l] = [0, last].map(|row| table.at(tank, Quantity::METAL_G_L, row));
    let replenished = table.at(tank, Quantity::TURNOVERS, last);
    if replenished <= 0.0 {
        return Some(cost.point(|quantity| table.at(tank, quantity, last)).cost_per_um_dm2);
    }
    let fed = 1.0 + (1.0 - metal_g_l / first_g_l) / replenished;
    let steady = |quantity: Quantity| match quantity {
        _ if quantity == Quantity::METAL_G_L => first_g_l,
        _ if cost.feeds.iter().any(|feed| feed.fed == quantity) => fed * table.at(tank, quantity, last),
        _ => table.at(tank, quantity, last),
    };
    Some(cost.point(steady).cost_per_um_dm2)
}

/// Where the cost per work done is least; `None` when it still falls at the last point.
///
/// Cost and work are each interpolated by a cubic through the four points nearest the least of them, over
/// turnovers by metal plated, which unlike doses has no steps.
pub fn optimum(points: &[CostPoint]) -> Option<Optimum> {
    let least =
        (0..points.len()).min_by(|a, b| points[*a].cost_per_um_dm2.total_cmp(&points[*b].cost_per_um_dm2))?;
    const WINDOW: usize = 4;
    if least == 0 || least + 1 >= points.len() || points.len() < WINDOW {
        return None;
    }
    let from = (least - 1).min(points.len() - WINDOW);
    let near = &points[from..from + WINDOW];
    let at = |plated: f64| {
        let cost = through(near, plated, |point| point.cost);
        cost / through(near, plated, |point| point.deposit_um_dm2)
    };
    let plated = lowest(at, points[least - 1].turnovers_plated, points[least + 1].turnovers_plated);
    let after = points.partition_point(|point| point.turnovers_plated <= plated).clamp(1, points.len() - 1);
    let (a, b) = (&points[after - 1], &points[after]);
    let share = (plated - a.turnovers_plated) / (b.turnovers_plated - a.turnovers_plated);
    Some(Optimum {
        turnovers: a.turnovers + share * (b.turnovers - a.turnovers),
        turnovers_plated: plated,
        clock_h: a.clock_h + share * (b.clock_h - a.clock_h),
        cost_per_um_dm2: at(plated),
    })
}

/// Lagrange's polynomial through the points, over turnovers plated.
fn through(points: &[CostPoint], at: f64, value: impl Fn(&CostPoint) -> f64) -> f64 {
    let weight = |this: usize| -> f64 {
        let x = |index: usize| points[index].turnovers_plated;
        let others = (0..points.len()).filter(|other| *other != this);
        others.map(|other| (at - x(other)) / (x(this) - x(other))).product()
    };
    points.iter().enumerate().map(|(index, point)| weight(index) * value(point)).sum()
}

/// The least of a function with one valley, by golden section.
fn lowest(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    // Each step keeps 0.62 of the interval: 40 steps leave 4e-9 of it.
    for _ in 0..40 {
        let left = high - GOLDEN * (high - low);
        let right = low + GOLDEN * (high - low);
        if f(left) < f(right) { high = right } else { low = left }
    }
    0.5 * (low + high)
}
