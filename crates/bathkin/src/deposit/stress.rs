//! Which way the stress of a nickel deposit tends: an indicator, never a value.
//!
//! Stress is made by the composition, the age of the bath and the cooling of the part; no law of it is at
//! hand. What the trade reports by class of composition is given back in words, with where it comes from.
//! No figure in MPa belongs here: measure it on strips.

use serde::Serialize;

/// Which way the stress tends, with the evidence for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StressTendency {
    /// In words: compressive, neutral, tensile and what lies between.
    pub tendency: &'static str,
    /// Where that comes from.
    pub evidence: &'static str,
}

/// The tendency of a fresh bath and of the bath at the end of its life.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StressStanding {
    /// From the fresh bath.
    pub fresh: StressTendency,
    /// At the end.
    pub end: StressTendency,
}

/// Turnovers to which layers of high phosphorus are said to stay compressive.
const TURNS_TENSILE_AT: f64 = 5.0;
const BY_CLASS: &str = "common practice: trade tables by class of phosphorus, whose columns could not be told apart with certainty";
const BETWEEN: &str = "common practice: between two classes of the trade tables, the nearer one taken";

/// Nickel-phosphorus by its content and the age of the bath in metal turnovers.
///
/// | wt% P | tendency |
/// |---|---|
/// | 10 to 13 | neutral to compressive, tensile after some 5 turnovers |
/// | 7 to 9 | slightly tensile |
/// | 4 to 6 | slightly compressive or tensile |
/// | 1 to 3 | compressive or slightly tensile |
///
/// Source: common practice (trade tables and a supplier's note on stress); kind: indicator. Baths that run
/// fast at a high pH, and baths in which sulfate piles up, drift tensile.
///
/// ```
/// use bathkin::deposit::stress::nickel_phosphorus;
/// assert_eq!(nickel_phosphorus(11.0, 0.0).tendency, "neutral to compressive");
/// assert_eq!(nickel_phosphorus(11.0, 7.0).tendency, "towards tensile");
/// ```
pub fn nickel_phosphorus(phosphorus_wt_pct: f64, turnovers: f64) -> StressTendency {
    const AGED: &str =
        "common practice: layers of high phosphorus are compressive up to about 5 turnovers; no figure";
    let between = |low: f64, high: f64| (low..high).contains(&phosphorus_wt_pct);
    let evidence =
        if between(3.0, 4.0) || between(6.0, 7.0) || between(9.0, 10.0) { BETWEEN } else { BY_CLASS };
    match phosphorus_wt_pct {
        p if p >= 9.5 && turnovers > TURNS_TENSILE_AT => {
            StressTendency { tendency: "towards tensile", evidence: AGED }
        }
        p if p >= 9.5 => StressTendency { tendency: "neutral to compressive", evidence },
        p if p >= 6.5 => StressTendency { tendency: "slightly tensile", evidence },
        p if p >= 3.5 => StressTendency { tendency: "slightly compressive or tensile", evidence },
        _ => StressTendency { tendency: "compressive or slightly tensile", evidence },
    }
}

/// Nickel-boron, whatever its content.
///
/// Source: common practice (trade tables); kind: indicator.
pub fn nickel_boron() -> StressTendency {
    StressTendency { tendency: "tensile", evidence: BY_CLASS }
}
