//! What a component of a bath is for, beside metal, reductant and by-product.

use schemars::JsonSchema;
use serde::Serialize;

/// What a component is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Holds the metal in solution.
    Complexant,
    /// Holds the pH between additions.
    Buffer,
    /// Keeps the bath from plating out; used in traces.
    Stabilizer,
    /// Makes the bath plate faster, brighter or at a lower temperature.
    Accelerator,
}

impl Role {
    /// Every role by its name in a recipe.
    pub const NAMES: [(&'static str, Role); 4] = [
        ("complexant", Role::Complexant),
        ("buffer", Role::Buffer),
        ("stabilizer", Role::Stabilizer),
        ("accelerator", Role::Accelerator),
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        Role::NAMES.iter().find(|(_, role)| *role == self).map_or("", |(name, _)| name)
    }

    /// The roles of a list of names; the name that is none of them.
    ///
    /// # Errors
    /// The name.
    pub fn parse_all(names: &[&str]) -> Result<Vec<Role>, String> {
        names
            .iter()
            .map(|name| {
                let found = Role::NAMES.iter().find(|(known, _)| known == name);
                found.map(|(_, role)| *role).ok_or_else(|| (*name).to_owned())
            })
            .collect()
    }

    /// True of what is there for the rate or against plate-out, which a law should know of.
    pub fn acts_on_the_rate(self) -> bool {
        matches!(self, Role::Stabilizer | Role::Accelerator)
    }
}
