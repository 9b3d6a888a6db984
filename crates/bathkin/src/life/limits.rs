//! Limits that end a life, each with its own figure.
//!
//! Contents, pH, ionic strength, specific gravity and rates are judged at the working level and temperature
//! ([`super::readings::Working`]): a night that takes water out of a tank that is filled up in the morning ends no
//! life. A saturation index is judged as the bath stands, cold or low: that is what falls out.

use serde::Serialize;

use super::readings::Readings;
use super::table::Table;
use crate::error::Place;
use crate::tank::Tank;

/// A dose that completes a turnover does so to the last bit or a hair short of it.
pub const TURNOVER_TOLERANCE: f64 = 1e-9;

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
    /// Total of a component, mol/L, by its slot.
    ComponentHigh(usize),
    /// The same from below.
    ComponentLow(usize),
    /// Ionic strength, mol/L.
    IonicStrength,
    /// Clock time since make-up, h.
    Clock,
    /// Area plated, m².
    Area,
}

impl LimitKind {
    /// True when the reading must stay above the bound.
    fn is_floor(self) -> bool {
        matches!(
            self,
            LimitKind::Deposition
                | LimitKind::AlloyLow
                | LimitKind::Metal
                | LimitKind::Ph
                | LimitKind::ComponentLow(_)
        )
    }

    /// True when the reading rises as water leaves.
    pub fn thickens(self) -> bool {
        self.is_content() || matches!(self, LimitKind::SpecificGravity | LimitKind::IonicStrength)
    }

    /// True when the reading is an amount of something per litre.
    fn is_content(self) -> bool {
        use LimitKind::{ByProduct, ComponentHigh, ComponentLow, Metal};
        matches!(self, ByProduct | Metal | ComponentLow(_) | ComponentHigh(_))
    }

    /// The column of a life's table that shows the reading; `None` for one that no column shows.
    pub fn column(self, tank: &Tank) -> Option<String> {
        let component = |slot: usize| format!("{}_mol_l", tank.equilibrium.component_names()[slot]);
        let hot = tank.set_points.ph_temperature_k == tank.temperature_k;
        Some(match self {
            LimitKind::Turnovers => "turnovers".to_owned(),
            LimitKind::ByProduct => component(tank.roles.by_product),
            LimitKind::ComponentHigh(slot) | LimitKind::ComponentLow(slot) => component(slot),
            LimitKind::Deposition => "deposition_um_h".to_owned(),
            LimitKind::AlloyLow | LimitKind::AlloyHigh => return tank.alloy_column.clone(),
            LimitKind::Metal => "metal_g_l".to_owned(),
            LimitKind::Ph => if hot { "ph" } else { "ph_25c" }.to_owned(),
            LimitKind::SpecificGravity => "specific_gravity".to_owned(),
            LimitKind::IonicStrength => "ionic_strength_mol_l".to_owned(),
            LimitKind::Clock => "clock_h".to_owned(),
            LimitKind::Area => "area_m2".to_owned(),
            LimitKind::SaturationIndex(solid) => format!("saturation_index_{}", tank.solids[solid].name),
        })
    }
}

/// A limit of a recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Name with unit, as in results.
    pub name: String,
    /// Path it was set by.
    pub path: String,
    /// The substrate it holds for; none: whatever is plated.
    pub substrate: Option<String>,
    /// What it watches.
    pub kind: LimitKind,
    /// The bound.
    pub bound: f64,
    /// Where it was set.
    pub place: Place,
}

impl Limit {
    /// The reading this limit watches, at the working level and temperature.
    pub fn value(&self, readings: &Readings) -> f64 {
        let working = &readings.working;
        match self.kind {
            LimitKind::Turnovers => readings.turnovers,
            LimitKind::ByProduct => working.share * readings.by_product_mol_l,
            LimitKind::Deposition => readings.deposition_um_h,
            LimitKind::AlloyLow | LimitKind::AlloyHigh => readings.alloy_wt_pct,
            LimitKind::Metal => working.share * readings.metal_g_l,
            LimitKind::Ph => working.ph_read,
            LimitKind::SpecificGravity => working.specific_gravity,
            LimitKind::SaturationIndex(solid) => readings.saturation_index[solid],
            LimitKind::ComponentHigh(slot) | LimitKind::ComponentLow(slot) => {
                working.share * readings.totals_mol_l[slot]
            }
            LimitKind::IonicStrength => working.ionic_strength_mol_l,
            LimitKind::Clock => readings.clock_h,
            LimitKind::Area => readings.area_m2,
        }
    }

    /// What this limit watches along a table, contents at the working level; none where no column shows it.
    pub fn along(&self, tank: &Tank, table: &Table) -> Option<Vec<f64>> {
        let readings = table.column(&self.kind.column(tank)?)?;
        if !self.kind.is_content() {
            return Some(readings.to_vec());
        }
        let volumes = table.column("volume_l")?;
        Some(
            readings.iter().zip(volumes).map(|(value, volume)| value * tank.working_share(*volume)).collect(),
        )
    }

    /// Distance to the bound: positive while the bath is within it.
    pub fn margin(&self, readings: &Readings) -> f64 {
        self.margin_of(self.value(readings))
    }

    /// The same of a reading by itself.
    pub fn margin_of(&self, value: f64) -> f64 {
        match self.kind {
            // A stop at a clock time is that time to round-off, a dose a turnover nearly.
            LimitKind::Turnovers | LimitKind::Clock => self.bound - TURNOVER_TOLERANCE - value,
            kind if kind.is_floor() => value - self.bound,
            _ => self.bound - value,
        }
    }

    /// How this limit stands, seen against the fresh bath.
    pub fn status(&self, fresh: &Readings, now: &Readings) -> LimitStatus {
        let (start, margin) = (self.margin(fresh), self.margin(now));
        let used = match self.kind {
            // An index is a logarithm, of anything from next to nothing: its ratio tells the share.
            LimitKind::SaturationIndex(_) => 10_f64.powf(-margin),
            _ => 1.0 - margin / start,
        };
        LimitStatus {
            name: self.name.clone(),
            path: self.path.clone(),
            substrate: self.substrate.clone(),
            bound: self.bound,
            value: self.value(now),
            margin,
            used_pct: 100.0 * used,
        }
    }
}

/// Where a limit stands at the end of a life.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitStatus {
    /// Name with unit.
    pub name: String,
    /// Path it was set by.
    pub path: String,
    /// The substrate it holds for; none: whatever is plated.
    pub substrate: Option<String>,
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
