//! Numbers that a fit moves: where they stand in recipes and logs, and how they are moved.

use bathkin::document::Dependence;
pub use bathkin::document::ParameterScale;
use num_dual::Dual64;

use crate::objective::values::Seed;

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
    /// What it makes a law depend on.
    pub dependence: Option<Dependence>,
    /// It sets only cases with this label: (column, label).
    pub group: Option<(String, String)>,
}

impl FreeParameter {
    /// Whether it is what a bath held at the start of its log, and no number of the recipe.
    pub fn is_start(&self) -> bool {
        self.targets.iter().all(|target| matches!(target, Target::Start { .. }))
    }

    /// Whether it has a say in a case with these labels.
    pub fn rules(&self, case: usize, labels: &[(String, String)]) -> bool {
        let here = |target: &Target| match target {
            Target::Path { .. } => true,
            Target::Start { case: of, .. } => *of == case,
        };
        self.targets.iter().any(here) && self.group.as_ref().is_none_or(|group| labels.contains(group))
    }

    /// The numbers of a recipe that it sets, as they move by it where the solver's number is `at`.
    pub(crate) fn seeds(&self, at: f64) -> Vec<Seed<'_>> {
        let value = self.scale.outside(at);
        let by_solver = match self.scale {
            ParameterScale::Log => value,
            ParameterScale::Linear => 1.0,
        };
        let seeds = self.targets.iter().filter_map(|target| match target {
            Target::Path { path, factor } => {
                Some((path.as_str(), Dual64::new(factor * value, factor * by_solver)))
            }
            Target::Start { .. } => None,
        });
        seeds.collect()
    }
}
