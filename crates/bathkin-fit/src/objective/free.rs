//! Numbers that a fit moves: where they stand in recipes and logs, and how they are moved.

use serde::Serialize;

/// How a number is moved while fitting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ParameterScale {
    /// By its logarithm, so that it stays positive and its unit does not matter.
    Log,
    /// As it is.
    Linear,
}

impl ParameterScale {
    /// Positive numbers go by their logarithm, except where laws are straight in the number itself or it
    /// may change its sign: energies, orders and exponents, pH, temperatures and potentials.
    pub fn of(path: &str, value: f64) -> Self {
        const LINEAR_ENDINGS: [&str; 7] =
            ["_kj_mol", "_c", "_v", "_v_she", "exponent", "transfer_coefficient", "per_decade"];
        let last = path.rsplit('.').next().unwrap_or(path);
        let linear = path.split(['.', '_']).any(|word| ["order", "ph"].contains(&word))
            || LINEAR_ENDINGS.iter().any(|ending| last.ends_with(ending));
        if linear || value <= 0.0 { ParameterScale::Linear } else { ParameterScale::Log }
    }

    /// From the recipe's number to the solver's.
    pub fn inside(self, value: f64) -> f64 {
        match self {
            ParameterScale::Log => value.max(0.0).ln(),
            ParameterScale::Linear => value,
        }
    }

    /// And back.
    pub fn outside(self, value: f64) -> f64 {
        match self {
            ParameterScale::Log => value.exp(),
            ParameterScale::Linear => value,
        }
    }
}

/// What a free number sets.
#[derive(Debug, Clone, PartialEq)]
pub enum Target {
    /// A number of the recipe, as so many times the free one.
    Path {
        /// Path.
        path: String,
        /// Times the free number.
        factor: f64,
    },
    /// What a bath of a log held at its start.
    Start {
        /// Which case.
        case: usize,
        /// Which of its starts.
        place: usize,
    },
}

/// A number that the solver moves.
#[derive(Debug, Clone, PartialEq)]
pub struct FreeParameter {
    /// Name in results: the path, with the group behind it where there are several.
    pub name: String,
    /// What it sets.
    pub targets: Vec<Target>,
    /// How it is moved.
    pub scale: ParameterScale,
    /// Where fits start, in the recipe's unit.
    pub start: f64,
    /// A usual size of it as the solver moves it: differences take steps of a part of that.
    pub size: f64,
    /// It sets only cases with this label: (column, label).
    pub group: Option<(String, String)>,
}

impl FreeParameter {
    /// Whether it has a say in a case with these labels.
    pub fn rules(&self, case: usize, labels: &[(String, String)]) -> bool {
        let here = |target: &Target| match target {
            Target::Path { .. } => true,
            Target::Start { case: of, .. } => *of == case,
        };
        self.targets.iter().any(here) && self.group.as_ref().is_none_or(|group| labels.contains(group))
    }
}
