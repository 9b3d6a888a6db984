//! Which way the stress of a nickel deposit tends: an indicator, never a value.
//!
//! Stress is made by the composition, the salt of the bath and the cooling of the part; no law of it is at
//! hand. What the trade reports by class of composition is given back in words, with where it comes from.
//! No figure in MPa belongs here: measure it on strips.

use schemars::JsonSchema;
use serde::Serialize;

/// Which way the stress tends, with the evidence for it.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
pub struct StressTendency {
    /// In words: compressive, neutral, tensile and what lies between.
    pub tendency: &'static str,
    /// Where that comes from.
    pub evidence: &'static str,
}

/// The tendency of a fresh bath and of the bath at the end of its life.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
pub struct StressStatus {
    /// From the fresh bath.
    pub fresh: StressTendency,
    /// At the end.
    pub end: StressTendency,
}

/// Ionic strength above which the salt of an old bath turns the stress tensile, mol/L: what the five turnovers,
/// to which layers of high phosphorus are said to stay compressive (common practice, no source), make of a bath
/// fed with sulfate and sodium salts; estimated.
const SALTY_ABOVE_MOL_L: f64 = 4.0;
const BY_CLASS: &str = "common practice: trade tables by class of phosphorus, whose columns could not be told apart with certainty";
const BETWEEN: &str = "common practice: between two classes of the trade tables, the nearer one taken";

/// Nickel-phosphorus by its content and the salt of the bath, I in mol/L.
///
/// | wt% P | tendency | above I = 4 mol/L |
/// |---|---|---|
/// | 10 to 13 | neutral to compressive | towards tensile |
/// | 7 to 9 | slightly tensile | tensile |
/// | 4 to 6 | slightly compressive or tensile | towards tensile |
/// | 1 to 3 | compressive or slightly tensile | towards tensile |
///
/// It is the salt, not the count of turnovers: a bath kept free of orthophosphite and sulfate plated with a stress
/// of about nil for 30 turnovers (a study of recycling with nickel hypophosphite, read as an abstract).
///
/// Source: common practice (trade tables and a supplier's note on stress); kind: indicator. Baths that run
/// fast at a high pH drift tensile as well.
///
/// ```
/// use bathkin::deposit::stress::nickel_phosphorus;
/// assert_eq!(nickel_phosphorus(11.0, 0.9).tendency, "neutral to compressive");
/// assert_eq!(nickel_phosphorus(11.0, 5.0).tendency, "towards tensile");
/// ```
pub fn nickel_phosphorus(phosphorus_wt_pct: f64, ionic_strength_mol_l: f64) -> StressTendency {
    const SALTY: &str = "common practice: salt turns the stress tensile, layers of high phosphorus after about 5 turnovers of a sulfate bath; the ionic strength for it is estimated";
    let between = |low: f64, high: f64| (low..high).contains(&phosphorus_wt_pct);
    let by_class =
        if between(3.0, 4.0) || between(6.0, 7.0) || between(9.0, 10.0) { BETWEEN } else { BY_CLASS };
    let salty = ionic_strength_mol_l > SALTY_ABOVE_MOL_L;
    let tendency = match phosphorus_wt_pct {
        p if (6.5..9.5).contains(&p) => {
            if salty {
                "tensile"
            } else {
                "slightly tensile"
            }
        }
        _ if salty => "towards tensile",
        p if p >= 9.5 => "neutral to compressive",
        p if p >= 3.5 => "slightly compressive or tensile",
        _ => "compressive or slightly tensile",
    };
    StressTendency { tendency, evidence: if salty { SALTY } else { by_class } }
}

/// Nickel-boron, whatever its content.
///
/// Source: common practice (trade tables); kind: indicator.
pub fn nickel_boron() -> StressTendency {
    StressTendency { tendency: "tensile", evidence: BY_CLASS }
}
