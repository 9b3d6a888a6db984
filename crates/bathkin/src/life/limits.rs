//! Limits that end a life, each with its own figure.
//!
//! Contents, pH, ionic strength, specific gravity and rates are judged at the working level and temperature
//! ([`crate::tank::readings::Working`]): a night that takes water out of a tank that is filled up in the morning ends no
//! life. A saturation index is judged as the bath stands, cold or low: that is what falls out.

use schemars::JsonSchema;
use serde::Serialize;

use super::table::Table;
use crate::error::Place;
use crate::tank::quantity::{Level, Quantity, Worse};
use crate::tank::{Readings, Tank};

/// A dose that completes a turnover does so to the last bit or a hair short of it.
pub const TURNOVER_TOLERANCE: f64 = 1e-9;

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
    pub quantity: Quantity,
    /// Whether that must stay above the bound.
    pub floor: bool,
    /// The bound.
    pub bound: f64,
    /// The words and the unit it was set in.
    pub wording: Wording,
    /// Where it was set.
    pub place: Place,
}

/// The words and the unit a limit was set in: `orthophosphite_g_l_as_hpo3 = 150` is orthophosphite as HPO3, in g/L.
#[derive(Debug, Clone, PartialEq)]
pub struct Wording {
    /// What is limited.
    pub words: String,
    /// Unit; empty for a pure number.
    pub unit: String,
    /// One of that unit, in the unit of the quantity.
    pub factor: f64,
}

impl Wording {
    /// That of the quantity itself, by the name of the limit.
    pub fn of_name(tank: &Tank, name: &str) -> Self {
        let (words, unit) = Quantity::words(tank, name);
        Wording { words, unit, factor: 1.0 }
    }
}

impl Limit {
    /// A limit that no recipe sets: on a quantity, from the side it gets worse on, by its own name.
    pub fn on(tank: &Tank, quantity: Quantity, bound: f64) -> Self {
        Limit {
            name: quantity.name(tank),
            path: String::new(),
            substrate: None,
            quantity,
            floor: quantity.worse(tank) == Worse::Falling,
            bound,
            wording: Wording::of_name(tank, &quantity.name(tank)),
            place: Place::default(),
        }
    }

    /// The limit in the words and the unit it was set in, with a reading of what it watches.
    pub fn as_given(&self, value: Option<f64>) -> GivenLimit {
        let Wording { words, unit, factor } = &self.wording;
        GivenLimit {
            words: words.clone(),
            unit: unit.clone(),
            bound: self.bound / factor,
            value: value.map(|value| value / factor),
        }
    }

    /// What this limit watches, at the working level and temperature.
    pub fn value(&self, tank: &Tank, readings: &Readings) -> f64 {
        self.quantity.judged(tank, readings)
    }

    /// What this limit watches along a table, contents at the working level; none where no column shows it.
    pub fn along(&self, tank: &Tank, table: &Table) -> Option<Vec<f64>> {
        let read_cooled = tank.operation.set_points.ph_temperature_k != tank.operation.temperature_k;
        let cold = self.quantity == Quantity::PH && read_cooled;
        let quantity = if cold { Quantity::PH_25C } else { self.quantity };
        let readings = table.column(&quantity.name(tank))?;
        if quantity.entry().level != Level::PerLitre {
            return Some(readings.to_vec());
        }
        let volumes = table.column(&Quantity::VOLUME_L.name(tank))?;
        Some(
            readings.iter().zip(volumes).map(|(value, volume)| value * tank.working_share(*volume)).collect(),
        )
    }

    /// Distance to the bound: positive while the bath is within it.
    pub fn margin(&self, tank: &Tank, readings: &Readings) -> f64 {
        self.margin_of(self.value(tank, readings))
    }

    /// The same of a reading by itself.
    pub fn margin_of(&self, value: f64) -> f64 {
        // A stop at a clock time is that time to round-off, a dose a turnover nearly.
        let nearly = [Quantity::TURNOVERS, Quantity::CLOCK_H].contains(&self.quantity);
        match self.floor {
            true => value - self.bound,
            false if nearly => self.bound - TURNOVER_TOLERANCE - value,
            false => self.bound - value,
        }
    }

    /// How this limit stands, seen against the fresh bath.
    pub fn status(&self, tank: &Tank, fresh: &Readings, now: &Readings) -> LimitStatus {
        let (start, margin) = (self.margin(tank, fresh), self.margin(tank, now));
        // The ratio behind a logarithm tells the share.
        let used =
            if self.quantity.entry().logarithmic { 10_f64.powf(-margin) } else { 1.0 - margin / start };
        LimitStatus {
            name: self.name.clone(),
            path: self.path.clone(),
            substrate: self.substrate.clone(),
            bound: self.bound,
            value: self.value(tank, now),
            margin,
            used_pct: 100.0 * used,
            as_given: self.as_given(Some(self.value(tank, now))),
        }
    }
}

/// Where a limit stands at the end of a life.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "Limit")]
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
    /// The same in the words and the unit it was set in.
    pub as_given: GivenLimit,
}

/// A limit in the words and the unit it was set in.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct GivenLimit {
    /// What is limited.
    pub words: String,
    /// Unit; empty for a pure number.
    pub unit: String,
    /// The bound in that unit.
    pub bound: f64,
    /// The reading in that unit, where one is at hand.
    pub value: Option<f64>,
}
