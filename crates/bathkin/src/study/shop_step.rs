//! The step by which a shop changes a number: 0.1 pH, 1 degC, 1 g/L.

use crate::document::Unit;

/// Units that shops read and set, and the step of each.
const STEPS: [(&str, f64); 9] = [
    ("degC", 1.0),
    ("g/L", 1.0),
    ("mg/L", 0.1),
    ("mL/L", 1.0),
    ("dm2/L", 0.1),
    ("%", 1.0),
    ("um", 1.0),
    ("min", 1.0),
    ("L/m2", 0.01),
];
const PH_STEP: f64 = 0.1;
/// Of a number without such a unit.
const SHARE: f64 = 0.01;

/// A step of a number.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopStep {
    /// The step, in the unit of the number.
    pub step: f64,
    /// How it is said: `0.1 pH`, `1 degC`, or `1 % of it` where the number has no unit that shops set.
    pub said: String,
}

impl ShopStep {
    /// The step of the number at a path with this value: that of its unit, else 1 % of it.
    ///
    /// ```
    /// use bathkin::study::ShopStep;
    ///
    /// let said = |path| ShopStep::of(path, 5.0).said;
    /// assert_eq!(said("operation.ph"), "0.1 pH");
    /// assert_eq!(said("operation.temperature_c"), "1 degC");
    /// assert_eq!(said("limits.orthophosphite_g_l_as_hpo3"), "1 g/L");
    /// assert_eq!(said("deposition.rate_mol_m2_s"), "1 % of it");
    /// assert_eq!(ShopStep::of("hydrogen.per_metal_mol", 5.0).step, 0.05);
    /// ```
    pub fn of(path: &str, value: f64) -> ShopStep {
        let unit = Unit::of(path);
        let step = if unit.is_none() && is_ph(path) {
            Some(("pH", PH_STEP))
        } else {
            unit.and_then(|unit| STEPS.into_iter().find(|(shown, _)| *shown == unit.shown))
        };
        step.map_or_else(
            || ShopStep { step: SHARE * value.abs(), said: "1 % of it".to_owned() },
            |(unit, step)| ShopStep { step, said: format!("{step} {unit}") },
        )
    }
}

/// Whether the number at a path is a pH, or a width of one: `ph`, `dead_band_ph`, `ph_min`; not an order in it.
fn is_ph(path: &str) -> bool {
    let name = path.rsplit('.').next().unwrap_or(path);
    name.split('_').any(|word| word == "ph") && ["ph", "min", "max"].iter().any(|end| name.ends_with(end))
}
