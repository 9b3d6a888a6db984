//! Warnings a recipe gives about itself: `[warning.<name>]`, conditions with the words that go with them.
//!
//! A condition is a bound on a quantity of the dictionary ([`crate::tank::quantity`]), by its name with `_above` or
//! `_below`: `ph_above`, `temperature_c_above`, `metal_mol_l_below`, as the bath stands. Where any of them is crossed, or with
//! `every = true` all of them, the result carries a flag named after the warning. A warning is no limit: nothing stops.
//!
//! The oxide margin of a copper bath is E(Cu+2/Cu2O) - E(Cu+2/Cu), V: above zero copper(I) oxide is what a reductant makes
//! of the bath first, and what copper metal turns to in it, Cu + Cu+2 + H2O -> Cu2O + 2 H+ (0.03 V per decade at 25 degC). It says
//! what can form, not how fast: reductants need a catalyst, and a plating surface stands below both potentials.

use crate::document::reader::Reader;
use crate::error::{Error, Result};
use crate::flag::Flag;
use crate::model::limits::bounds_of;
use crate::tank::quantity::Needs;
use crate::tank::{Quantity, Readings, Tank};

const TABLE: &str = "warning";

/// A bound on a quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Condition {
    quantity: Quantity,
    above: bool,
    bound: f64,
}

/// A warning with the conditions that raise it.
#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    name: String,
    what: String,
    conditions: Vec<Condition>,
    /// Raised only where every condition is crossed.
    every: bool,
}

impl Warning {
    /// The flag, where a condition is crossed, or with `every` all of them.
    pub fn flag(&self, tank: &Tank, at: &Readings) -> Option<Flag> {
        let crossed: Vec<String> =
            self.conditions.iter().filter_map(|condition| condition.crossed(tank, at)).collect();
        let needed = if self.every { self.conditions.len() } else { 1 };
        (crossed.len() >= needed).then(|| Flag {
            r#where: self.name.clone(),
            what: format!("{}: {}", crossed.join(", "), self.what),
        })
    }

    /// Whether a condition asks for this.
    pub(crate) fn needs(&self, needs: Needs) -> bool {
        self.conditions.iter().any(|condition| condition.quantity.entry().needs == needs)
    }
}

impl Condition {
    /// Words for a bound that is crossed; what a bath does not have crosses none.
    fn crossed(&self, tank: &Tank, at: &Readings) -> Option<String> {
        let value = self.quantity.value(tank, at);
        let crossed = if self.above { value > self.bound } else { value < self.bound };
        let side = if self.above { "above" } else { "below" };
        let entry = self.quantity.entry();
        crossed.then(|| {
            let (title, digits) = (self.quantity.title(tank), entry.decimals);
            let words = format!("{title} {value:.digits$} is {side} {} {}", self.bound, entry.unit);
            words.trim_end().to_owned()
        })
    }
}

/// The warnings of a recipe.
pub(crate) fn read_warnings(reader: &Reader, tank: &Tank) -> Result<Vec<Warning>> {
    let mut warnings = Vec::new();
    let mut known = Vec::new();
    for name in reader.document().children(TABLE) {
        if known.is_empty() {
            known = Quantity::all(tank).into_iter().map(|of| (of.warned_as(tank), of)).collect();
        }
        let table = format!("{TABLE}.{name}");
        let mut conditions = Vec::new();
        for key in reader.document().children(&table) {
            let (of, above) = match (key.strip_suffix("_above"), key.strip_suffix("_below")) {
                (Some(of), _) => (of, true),
                (_, Some(of)) => (of, false),
                _ => continue,
            };
            let Some((_, quantity)) = known.iter().find(|(known, _)| known == of) else {
                let place = reader.place(&format!("{table}.{key}"));
                let valid = known.iter().map(|(known, _)| known.as_str());
                return Err(Error::unknown_name(place, "quantity of this bath", of, valid));
            };
            let bounds = bounds_of(quantity.entry().range);
            if let Some(bound) = reader.optional(&format!("{table}.{key}"), bounds)? {
                conditions.push(Condition { quantity: *quantity, above, bound });
            }
        }
        if conditions.is_empty() {
            let expected =
                "ph_above, metal_mol_l_below or another quantity of the bath with _above or _below";
            return Err(reader.refuse(&table, expected, None));
        }
        let what = reader.text(&format!("{table}.what"))?.to_owned();
        let every = reader.boolean_or(&format!("{table}.every"), false)?;
        warnings.push(Warning { name, what, conditions, every });
    }
    Ok(warnings)
}
