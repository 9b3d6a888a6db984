//! Limits that end a life, each with its own figure.

use serde::Serialize;

use super::readings::Readings;
use crate::error::Place;

/// A dose that completes a turnover does so to the last bit or a hair short of it.
pub const A_HAIR_OF_A_TURNOVER: f64 = 1e-9;

/// What a limit watches. The reading and its bound are in the unit of the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitKind {
    /// Metal turnovers by metal replenished.
    Turnovers,
    /// By-product, mol/L.
    ByProduct,
    /// Deposition rate at the set-points, um/h.
    Deposition,
    /// Alloying element in what is being deposited at the set-points, wt%, from below.
    AlloyLow,
    /// The same from above.
    AlloyHigh,
    /// Metal, g/L.
    Metal,
    /// pH as the operator reads it, from below: where the alkali or the buffer gives out.
    Ph,
    /// Specific gravity at 25 degC.
    SpecificGravity,
    /// Saturation index of a solid, by its place among [`crate::tank::Tank::solids`].
    SaturationIndex(usize),
}

impl LimitKind {
    /// True when the reading must stay above the bound.
    fn is_floor(self) -> bool {
        matches!(self, LimitKind::Deposition | LimitKind::AlloyLow | LimitKind::Metal | LimitKind::Ph)
    }
}

/// A limit of a recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Name with unit, as in results.
    pub name: String,
    /// Path it was set by.
    pub path: String,
    /// What it watches.
    pub kind: LimitKind,
    /// The bound.
    pub bound: f64,
    /// Where it was set.
    pub place: Place,
}

impl Limit {
    /// The reading this limit watches.
    pub fn value(&self, readings: &Readings) -> f64 {
        match self.kind {
            LimitKind::Turnovers => readings.turnovers,
            LimitKind::ByProduct => readings.by_product_mol_l,
            LimitKind::Deposition => readings.deposition_um_h,
            LimitKind::AlloyLow | LimitKind::AlloyHigh => readings.alloy_wt_pct,
            LimitKind::Metal => readings.metal_g_l,
            LimitKind::Ph => readings.ph_read,
            LimitKind::SpecificGravity => readings.specific_gravity,
            LimitKind::SaturationIndex(solid) => readings.saturation_index[solid],
        }
    }

    /// Distance to the bound: positive while the bath is within it.
    pub fn margin(&self, readings: &Readings) -> f64 {
        let value = self.value(readings);
        match self.kind {
            LimitKind::Turnovers => self.bound - A_HAIR_OF_A_TURNOVER - value,
            kind if kind.is_floor() => value - self.bound,
            _ => self.bound - value,
        }
    }

    /// How this limit stands, seen against the fresh bath.
    pub fn standing(&self, fresh: &Readings, now: &Readings) -> LimitStanding {
        let (start, margin) = (self.margin(fresh), self.margin(now));
        let used = match self.kind {
            // An index is a logarithm, of anything from next to nothing: its ratio tells the share.
            LimitKind::SaturationIndex(_) => 10_f64.powf(-margin),
            _ => 1.0 - margin / start,
        };
        LimitStanding {
            name: self.name.clone(),
            path: self.path.clone(),
            bound: self.bound,
            value: self.value(now),
            margin,
            used_pct: 100.0 * used,
        }
    }
}

/// Where a limit stands at the end of a life.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitStanding {
    /// Name with unit.
    pub name: String,
    /// Path it was set by.
    pub path: String,
    /// The bound.
    pub bound: f64,
    /// The reading.
    pub value: f64,
    /// Distance left, in the unit of the name; zero or below when reached.
    pub margin: f64,
    /// Share of the way from the fresh bath to the bound, %; of a saturation index, the activity
    /// product over the one at the bound.
    pub used_pct: f64,
}
