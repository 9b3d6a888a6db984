//! What is plated: whether deposition starts on it by itself, and what makes it start.

use schemars::JsonSchema;
use serde::Serialize;

use super::coverage::Coverage;

/// How a bare substrate behaves in a bath of one family.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Behaviour {
    /// It is catalytic, or becomes so by displacement.
    StartsByItself,
    /// It needs a touch with an active metal, or a cathodic pulse.
    NeedsContact,
    /// It needs a thin layer of another metal first.
    NeedsStrike,
    /// It stops deposition, and dissolved it stops the bath.
    Poison,
    /// It conducts nothing or is inert: it needs seeds of a catalyst.
    NeedsSeeding,
}

impl Behaviour {
    /// Names in documents.
    pub const NAMES: [(&str, Behaviour); 5] = [
        ("starts_by_itself", Behaviour::StartsByItself),
        ("needs_contact", Behaviour::NeedsContact),
        ("needs_strike", Behaviour::NeedsStrike),
        ("poison", Behaviour::Poison),
        ("needs_seeding", Behaviour::NeedsSeeding),
    ];

    /// In words, after the name of a substrate.
    pub fn words(self) -> &'static str {
        match self {
            Behaviour::StartsByItself => "starts by itself",
            Behaviour::NeedsContact => "does not start without contact with an active metal",
            Behaviour::NeedsStrike => "does not start without a strike",
            Behaviour::Poison => "is a poison: it does not start, and stops the bath when it dissolves",
            Behaviour::NeedsSeeding => "is not catalytic: it does not start without seeds",
        }
    }
}

/// What is done to a substrate so that it starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Activation {
    /// Nothing.
    None,
    /// Touched with an active metal, or a cathodic pulse.
    Contact,
    /// A thin layer of nickel.
    NickelStrike,
    /// A thin layer of copper.
    CopperStrike,
    /// Palladium: displaced on a metal, as seeds on a non-conductor.
    Palladium,
}

impl Activation {
    /// All of them, with their names in documents.
    pub const NAMES: [(&str, Activation); 5] = [
        ("none", Activation::None),
        ("contact", Activation::Contact),
        ("nickel_strike", Activation::NickelStrike),
        ("copper_strike", Activation::CopperStrike),
        ("palladium", Activation::Palladium),
    ];

    /// Reads a name; spaces and hyphens stand for the underscore.
    pub fn parse(text: &str) -> Option<Self> {
        let name = text.trim().replace([' ', '-'], "_");
        Activation::NAMES.iter().find(|(known, _)| *known == name).map(|(_, activation)| *activation)
    }

    /// Its name in documents.
    pub fn name(self) -> &'static str {
        Activation::NAMES.iter().find(|(_, known)| *known == self).map_or("none", |(name, _)| *name)
    }
}

/// How deposition starts on a substrate after an activation.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
#[serde(tag = "class")]
pub struct Start {
    /// The activation.
    pub activation: Activation,
    /// How it gets covered.
    #[serde(flatten)]
    pub coverage: Coverage,
    /// Growth on covered surface at which the constants hold, um/h.
    pub reference_deposition_um_h: f64,
    /// Induction time there, s.
    pub induction_s: f64,
    /// Its range in practice, s.
    pub range_s: Option<(f64, f64)>,
}

impl Start {
    /// Covered from the first moment.
    pub const AT_ONCE: Start = Start {
        activation: Activation::None,
        coverage: Coverage::AT_ONCE,
        reference_deposition_um_h: 1.0,
        induction_s: 0.0,
        range_s: None,
    };

    /// Induction time where covered surface grows so fast, s.
    pub fn induction_at_s(&self, deposition_um_h: f64) -> f64 {
        self.coverage.at_rate(deposition_um_h / self.reference_deposition_um_h).induction_s()
    }
}
