//! Warnings a recipe gives about itself: `[warning.<name>]`, conditions with the words that go with them.
//!
//! A condition is a bound on one reading (`ph_above`, `ph_below`, `temperature_c_above`,
//! `reductant_mol_l_above`, `reductant_per_metal_mol_above`, `metal_mol_l_below`, `oxide_margin_v_above`); the pH is the one in the bath at its temperature. Where
//! any of them is crossed, or with `every = true` all of them, the result carries a flag named after the warning. A warning is
//! no limit: nothing stops.
//!
//! The oxide margin of a copper bath is E(Cu+2/Cu2O) - E(Cu+2/Cu), V: above zero copper(I) oxide is what a reductant makes
//! of the bath first, and what copper metal turns to in it, Cu + Cu+2 + H2O -> Cu2O + 2 H+ (0.03 V per decade at 25 degC). It says
//! what can form, not how fast: reductants need a catalyst, and a plating surface stands below both potentials.

use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::flag::Flag;

const TABLE: &str = "warning";

/// What a condition looks at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Reading {
    Ph,
    TemperatureC,
    ReductantMolL,
    ReductantPerMetalMol,
    MetalMolL,
    OxideMarginV,
}

/// A bound on one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Condition {
    pub(crate) reading: Reading,
    pub(crate) above: bool,
    pub(crate) bound: f64,
}

/// A warning with the conditions that raise it.
#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    name: String,
    what: String,
    pub(crate) conditions: Vec<Condition>,
    /// Raised only where every condition is crossed.
    every: bool,
}

/// What warnings look at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WarningReadings {
    /// pH in the bath.
    pub ph: f64,
    /// Temperature, degC.
    pub temperature_c: f64,
    /// Reductant, all forms together, mol/L.
    pub reductant_mol_l: f64,
    /// Metal, all forms together, mol/L.
    pub metal_mol_l: f64,
    /// Potential of the oxide's couple above the metal's, V; none without copper.
    pub oxide_margin_v: Option<f64>,
}

impl Warning {
    /// The flag, where a condition is crossed, or with `every` all of them.
    pub fn flag(&self, at: &WarningReadings) -> Option<Flag> {
        let crossed: Vec<String> =
            self.conditions.iter().filter_map(|condition| condition.crossed(at)).collect();
        let needed = if self.every { self.conditions.len() } else { 1 };
        (crossed.len() >= needed).then(|| Flag {
            r#where: self.name.clone(),
            what: format!("{}: {}", crossed.join(", "), self.what),
        })
    }
}

impl Condition {
    /// Words for a bound that is crossed.
    fn crossed(&self, at: &WarningReadings) -> Option<String> {
        let (value, name, unit) = match self.reading {
            Reading::Ph => (at.ph, "pH in the bath", ""),
            Reading::TemperatureC => (at.temperature_c, "temperature", " degC"),
            Reading::ReductantMolL => (at.reductant_mol_l, "reductant", " mol/L"),
            Reading::ReductantPerMetalMol => {
                (at.reductant_mol_l / at.metal_mol_l, "reductant per metal", " mol/mol")
            }
            Reading::MetalMolL => (at.metal_mol_l, "metal", " mol/L"),
            Reading::OxideMarginV => {
                (at.oxide_margin_v?, "copper(I) oxide's potential over the metal's", " V")
            }
        };
        let crossed = if self.above { value > self.bound } else { value < self.bound };
        let side = if self.above { "above" } else { "below" };
        let digits = match self.reading {
            Reading::ReductantMolL | Reading::MetalMolL | Reading::OxideMarginV => 3,
            Reading::Ph | Reading::TemperatureC | Reading::ReductantPerMetalMol => 2,
        };
        crossed.then(|| format!("{name} {value:.digits$} is {side} {}{unit}", self.bound))
    }
}

/// The warnings of a recipe.
pub(crate) fn read_warnings(reader: &Reader) -> Result<Vec<Warning>> {
    const KNOWN: [(&str, Reading, bool, Bounds); 7] = [
        ("ph_above", Reading::Ph, true, Bounds::between(0.0, 15.0, "a pH between 0 and 15")),
        ("ph_below", Reading::Ph, false, Bounds::between(0.0, 15.0, "a pH between 0 and 15")),
        (
            "temperature_c_above",
            Reading::TemperatureC,
            true,
            Bounds::between(0.0, 100.0, "a temperature between 0 and 100 degC"),
        ),
        ("reductant_mol_l_above", Reading::ReductantMolL, true, Bounds::NOT_NEGATIVE),
        ("reductant_per_metal_mol_above", Reading::ReductantPerMetalMol, true, Bounds::NOT_NEGATIVE),
        ("metal_mol_l_below", Reading::MetalMolL, false, Bounds::NOT_NEGATIVE),
        (
            "oxide_margin_v_above",
            Reading::OxideMarginV,
            true,
            Bounds::between(-2.0, 2.0, "a potential between -2 and 2 V"),
        ),
    ];
    let names = reader.document().children(TABLE).into_iter();
    names
        .map(|name| {
            let mut conditions = Vec::new();
            for (key, reading, above, bounds) in KNOWN {
                if let Some(bound) = reader.optional(&format!("{TABLE}.{name}.{key}"), bounds)? {
                    conditions.push(Condition { reading, above, bound });
                }
            }
            if conditions.is_empty() {
                let keys = KNOWN.map(|(key, ..)| key).join(", ");
                return Err(reader.refuse(&format!("{TABLE}.{name}"), &format!("one of {keys}"), None));
            }
            let what = reader.text(&format!("{TABLE}.{name}.what"))?.to_owned();
            let every = reader.truth_or(&format!("{TABLE}.{name}.every"), false)?;
            Ok(Warning { name, what, conditions, every })
        })
        .collect()
}
