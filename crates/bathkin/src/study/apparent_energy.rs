//! The activation energy a bath shows as it is run, beside the one its card states.
//!
//! The energy in a law is not what an Arrhenius plot of the bath gives: hydroxide, glycolate and free metal move with
//! the temperature too, and a film adds the energy of diffusion. A card states in
//! `operation.apparent_activation_energy_kj_mol` what its rates give over the range of `operation.temperature_c`, the
//! bath run as its `operation.ph_reading` says.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::{GAS_CONSTANT_J_MOL_K, ZERO_CELSIUS_K};
use crate::document::{Document, Value};
use crate::error::Result;
use crate::model::operation::STATED_ENERGY;
use crate::recipe::Recipe;
use bathkin_numerics::short;

const TEMPERATURE: &str = "operation.temperature_c";

/// E = R ln(r2/r1)/(1/T1 - 1/T2), between the ends of a recipe's temperatures.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | r1, r2 | rate of deposition of the fresh bath at T1 and at T2 | um/h |
/// | T1, T2 | ends of the range of `operation.temperature_c` | K |
///
/// Source: the Arrhenius equation through two points, textbook form.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ApparentEnergy {
    /// What the card states, kJ/mol.
    pub stated_kj_mol: Option<f64>,
    /// E, kJ/mol.
    pub as_run_kj_mol: f64,
    /// T1, degC.
    pub low_c: f64,
    /// T2, degC.
    pub high_c: f64,
    /// What stays the same between the two.
    pub held: &'static str,
}

impl std::fmt::Display for ApparentEnergy {
    fn fmt(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (low, high) = (short(self.low_c), short(self.high_c));
        write!(to, "Apparent activation energy: {:.1} kJ/mol from {low} to {high} degC", self.as_run_kj_mol)?;
        if let Some(stated) = self.stated_kj_mol {
            write!(to, " ({} stated)", short(stated))?;
        }
        write!(to, ", {} held", self.held)
    }
}

impl Recipe {
    /// The activation energy its fresh bath shows over the range of its temperature; none where that has no range,
    /// or where nothing plates at one end of it.
    ///
    /// ```
    /// let recipe = bathkin::Recipe::built_in("silver-tartrate")?;
    /// let energy = recipe.apparent_activation_energy()?.expect("it has a range");
    /// assert!((energy.as_run_kj_mol - 24.0).abs() < 0.1);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Recipe::make_up`], at the ends of the range.
    pub fn apparent_activation_energy(&self) -> Result<Option<ApparentEnergy>> {
        let document = self.document();
        let Some((low_c, high_c)) = document.get(TEMPERATURE).and_then(|entry| entry.range) else {
            return Ok(None);
        };
        let rate_at = |temperature_c: f64| {
            let there = self.with(TEMPERATURE, Value::Number(temperature_c), "an end of its range");
            Ok(there.make_up()?.rate()?.deposition_um_h)
        };
        let ln_ratio = (rate_at(high_c)? / rate_at(low_c)?).ln();
        let inverse = 1.0 / (low_c + ZERO_CELSIUS_K) - 1.0 / (high_c + ZERO_CELSIUS_K);
        let as_run_kj_mol = GAS_CONSTANT_J_MOL_K * 1e-3 * ln_ratio / inverse;
        Ok(as_run_kj_mol.is_finite().then(|| ApparentEnergy {
            stated_kj_mol: stated(document),
            as_run_kj_mol,
            low_c,
            high_c,
            held: held(document),
        }))
    }
}

fn stated(document: &Document) -> Option<f64> {
    match document.get(STATED_ENERGY)?.value {
        Value::Number(kj_mol) => Some(kj_mol),
        _ => None,
    }
}

fn held(document: &Document) -> &'static str {
    let reading = document.get("operation.ph_reading").map(|entry| &entry.value);
    let hot = !matches!(reading, Some(Value::Text(reading)) if reading == "cooled");
    if hot && document.get("operation.ph").is_some() {
        "the pH in the bath at its temperature"
    } else {
        "the make-up with its acid or alkali"
    }
}
