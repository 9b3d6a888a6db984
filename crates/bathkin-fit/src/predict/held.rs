//! Numbers of a recipe that were held, and what they change: they are in no interval and in no spread.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::source::Kind;
use schemars::JsonSchema;
use serde::Serialize;

use crate::objective::free::Target;
use crate::result::solution::Solution;

/// By how much more each is tried.
pub(crate) const PART: f64 = 0.1;

/// A number that was held, though it is invented or widely uncertain.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct HeldNumber {
    /// Its path.
    pub path: String,
    /// Its value.
    pub value: f64,
    /// Where it comes from.
    pub kind: Option<Kind>,
    /// Range the recipe's author vouches for.
    pub range: Option<(f64, f64)>,
    /// By how much 10 % more of it changes the result: hours of the dump, or per cent of a prediction; `None` where
    /// the result cannot be computed then, or is not reached in the longest time.
    pub moved: Option<f64>,
}

/// Those that a fit held.
pub(crate) fn held_by(recipe: &Recipe, fit: &Solution) -> Vec<HeldNumber> {
    held(recipe, |path| {
        let targets = fit.model.free.iter().flat_map(|number| &number.targets);
        !targets.into_iter().any(|target| matches!(target, Target::Path { path: known, .. } if known == path))
    })
}

/// Numbers of a recipe that are invented, or whose range spans a factor of two or reaches zero, and that were held; those
/// at zero have no ten per cent.
pub(crate) fn held(recipe: &Recipe, was_held: impl Fn(&str) -> bool) -> Vec<HeldNumber> {
    const WIDE: f64 = 2.0;
    let document = recipe.document();
    let numbers = recipe
        .movable_numbers()
        .unwrap_or_default()
        .into_iter()
        .filter(|(path, value)| *value != 0.0 && was_held(path));
    let of = |(path, value): (String, f64)| {
        let entry = document.get(&path)?;
        let kind = entry.source.as_ref().map(|source| source.kind);
        let wide = entry.range.is_some_and(|(low, high)| low <= 0.0 || high >= WIDE * low);
        let range = entry.range;
        (kind == Some(Kind::Invented) || wide).then_some(HeldNumber { path, value, kind, range, moved: None })
    };
    numbers.filter_map(of).collect()
}

impl HeldNumber {
    /// The recipe with ten per cent more of it.
    pub(crate) fn more(&self, recipe: &Recipe) -> Recipe {
        recipe.with(&self.path, Value::Number((1.0 + PART) * self.value), "10 % more")
    }
}

/// The strongest first; those that change nothing stay in the order of the recipe, at the end.
pub(crate) fn by_strength(mut held: Vec<HeldNumber>) -> Vec<HeldNumber> {
    let strength = |one: &HeldNumber| one.moved.map_or(f64::INFINITY, f64::abs);
    held.sort_by(|a, b| strength(b).total_cmp(&strength(a)));
    held
}
