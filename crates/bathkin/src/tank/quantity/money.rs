//! What a bath has cost if it is dumped here.

use super::At;
use super::entry::{Entry, Members, rising};
use crate::tank::cost::CostPoint;

/// The bill at a reading; none where the recipe has no prices.
fn bill(at: &At) -> Option<CostPoint> {
    at.tank.operation.cost.as_ref().map(|cost| cost.point(|quantity| quantity.value(at.tank, at.row)))
}

/// In the order of the columns.
pub(super) const SPENT: &[&Entry] = &[
    &Entry {
        members: Members::If(|tank| tank.operation.cost.is_some()),
        definition: "What the bath has cost if it is dumped here, in the currency of the recipe.",
        value: |at| bill(at).map_or(f64::NAN, |point| point.cost),
        worse: rising,
        ..Entry::count("cost", "cost", "C", "")
    },
    &Entry {
        members: Members::If(|tank| tank.operation.cost.is_some()),
        definition: "What the bath has cost if it is dumped here, over thickness times area plated.",
        value: |at| bill(at).map_or(f64::NAN, |point| point.cost_per_um_dm2),
        ..Entry::count("cost_per_um_dm2", "cost per work done", "c", "per um dm2")
    },
];
