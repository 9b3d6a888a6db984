//! What is asked: numbers with their bounds, goals, limits; all checked before anything is computed.

use bathkin_numerics::short;
use bathkin_statistics::optimise::{Effort, Goal, Limit, Problem};

use crate::document::{Role, Value};
use crate::error::Result;
use crate::model::Model;
use crate::recipe::Recipe;
use crate::study::ensemble::Points;
use crate::study::ensemble::output::refuse;

/// A number that is varied.
#[derive(Debug, Clone, PartialEq)]
pub struct Varied {
    /// Its path.
    pub path: String,
    /// Least value.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
}

/// A goal.
#[derive(Debug, Clone, PartialEq)]
pub struct Aim {
    /// An output as of an ensemble.
    pub output: String,
    /// Whether it is to be as great as can be, not as small.
    pub most: bool,
}

/// A limit: an output as of an ensemble, or a quantity, which is then limited all along the life.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Its name.
    pub name: String,
    /// At least.
    pub low: Option<f64>,
    /// At most.
    pub high: Option<f64>,
}

/// All that is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// What is varied.
    pub vary: Vec<Varied>,
    /// Goals: one, or two of a trade-off.
    pub aims: Vec<Aim>,
    /// Limits.
    pub limits: Vec<Band>,
    /// Further outputs that are told of the best point.
    pub outputs: Vec<String>,
    /// Points of the first look over the whole box, a power of two.
    pub points: u32,
    /// Searches from the best of them.
    pub starts: usize,
    /// Rounds after those, in ever smaller windows about the best point.
    pub restarts: usize,
    /// Seed of the points.
    pub seed: u64,
}

/// What was asked, resolved.
#[derive(Debug, Clone)]
pub(super) struct Resolved {
    pub points: Points,
    pub vary: Vec<Varied>,
    pub goals: Vec<Goal>,
    pub limits: Vec<Limit>,
    pub effort: Effort,
    /// The recipe's own values as a point of the unit cube, where they lie in it.
    pub own: Option<Vec<f64>>,
}

/// Most points of the first look.
const MOST_POINTS: u32 = 1 << 20;

impl Asked {
    /// Checks all of it; `by` is named in messages.
    ///
    /// # Errors
    /// [`crate::Error::UnknownName`] for an unknown path or output, [`crate::Error::Recipe`] for what cannot be varied, a box
    /// without a width or out of the bounds of its number, a goal that is no number, and limits that cannot be kept together.
    pub(super) fn resolved(&self, recipe: &Recipe, by: &str) -> Result<Resolved> {
        let model = recipe.model()?;
        for one in &self.vary {
            check_is_continuous(model, one, by)?;
        }
        let paths: Vec<String> = self.vary.iter().map(|one| one.path.clone()).collect();
        let mut names: Vec<String> = Vec::new();
        let mut place_of = |name: String| {
            names.iter().position(|known| *known == name).unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            })
        };
        let goal = |aim: &Aim, output| Goal { output, most: aim.most };
        let goals: Vec<Goal> = self.aims.iter().map(|aim| goal(aim, place_of(aim.output.clone()))).collect();
        let mut limits = Vec::new();
        for band in &self.limits {
            check_band(band, by)?;
            for (at_least, bound) in [(true, band.low), (false, band.high)] {
                let Some(bound) = bound else { continue };
                limits.push(Limit { output: place_of(band.output(at_least)), at_least, bound });
            }
        }
        self.outputs.iter().for_each(|name| {
            place_of(name.clone());
        });
        let lows: Vec<f64> = self.vary.iter().map(|one| one.low).collect();
        let points = Points::new(recipe, by, ("vary", &paths), &names, &lows)?;
        if let Some(word) = points.outputs.iter().find(|output| output.is_limit()) {
            return Err(refuse(by, "output", word.name.clone(), "a number: this is a word"));
        }
        for one in &self.vary {
            check_box(points.base()?, one, by)?;
        }
        check_counts(self, by)?;
        let own = own_values(model, &self.vary);
        let effort = Effort { starts: self.starts, restarts: self.restarts };
        Ok(Resolved { points, vary: self.vary.clone(), goals, limits, effort, own })
    }
}

impl Resolved {
    /// A goal under the limits, and those that come with it.
    pub fn problem(&self, goal: usize, more: impl IntoIterator<Item = Limit>) -> Problem {
        let limits = self.limits.iter().copied().chain(more).collect();
        Problem { goal: self.goals[goal], limits }
    }

    /// Values of the numbers at a point of the unit cube.
    pub fn values<'a>(&'a self, point: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
        let value =
            |(one, part): (&Varied, &f64)| (one.low + part * (one.high - one.low)).clamp(one.low, one.high);
        self.vary.iter().zip(point).map(value)
    }
}

impl Band {
    /// The output that one of its sides is about: of a quantity the least or greatest value over the life.
    fn output(&self, at_least: bool) -> String {
        match (self.name.contains('.'), at_least) {
            (true, _) => self.name.clone(),
            (false, true) => format!("least.{}", self.name),
            (false, false) => format!("greatest.{}", self.name),
        }
    }
}

/// Words, counts and how a life is computed are no numbers to move.
fn check_is_continuous(model: &Model, one: &Varied, by: &str) -> Result<()> {
    let refused =
        |what: &str| Err(refuse(by, &one.path, "(varied)", format!("a number that is continuous: {what}")));
    if model.kept.declared.words.contains_key(&one.path) {
        return refused("this is a word, true or false, or a list");
    }
    let role = model.declaration(&one.path).map(|declared| declared.role);
    match role {
        Some(Role::Format | Role::Stoichiometry | Role::FitRecord) => {
            refused("this one is a count, or of the form")
        }
        Some(Role::Computation) => refused("this one says how a life is computed"),
        _ => Ok(()),
    }
}

fn check_box(model: &Model, one: &Varied, by: &str) -> Result<()> {
    let Varied { path, low, high } = one;
    if !(low.is_finite() && high.is_finite() && low < high) {
        let given = format!("{} to {}", short(*low), short(*high));
        return Err(refuse(by, path, given, "a low and a high bound, low below high"));
    }
    let Some(bounds) = model.declaration(path).map(|declared| declared.bounds) else { return Ok(()) };
    let beyond = [low, high].into_iter().find(|value| !bounds.allow(**value));
    beyond.map_or(Ok(()), |value| Err(refuse(by, path, short(*value), bounds.what)))
}

fn check_band(band: &Band, by: &str) -> Result<()> {
    let sides: Vec<f64> = band.low.into_iter().chain(band.high).collect();
    let in_order = !matches!((band.low, band.high), (Some(low), Some(high)) if low >= high);
    if !sides.is_empty() && sides.iter().all(|side| side.is_finite()) && in_order {
        return Ok(());
    }
    let told = |side: Option<f64>| side.map_or_else(|| "none".to_owned(), short);
    let given = format!("{} to {}", told(band.low), told(band.high));
    Err(refuse(by, &band.name, given, "a finite least value, a greatest one, or both in this order"))
}

fn check_counts(asked: &Asked, by: &str) -> Result<()> {
    if !asked.points.is_power_of_two() || !(4..=MOST_POINTS).contains(&asked.points) {
        let expected =
            format!("a power of two from 4 to {MOST_POINTS}: Sobol points are balanced in such numbers");
        return Err(refuse(by, "points", asked.points.to_string(), expected));
    }
    if asked.starts == 0 {
        return Err(refuse(by, "starts", "0", "at least one"));
    }
    Ok(())
}

/// The recipe's own values as a point of the unit cube.
fn own_values(model: &Model, vary: &[Varied]) -> Option<Vec<f64>> {
    vary.iter()
        .map(|one| {
            let value = own_value(model, &one.path)?;
            let part = (value - one.low) / (one.high - one.low);
            (0.0..=1.0).contains(&part).then_some(part)
        })
        .collect()
}

/// The recipe's own value of a number, or what stands for it.
pub(super) fn own_value(model: &Model, path: &str) -> Option<f64> {
    let written = [&model.kept.document, &model.kept.constants.document];
    let written = written.into_iter().find_map(|document| document.get(path));
    match written.map(|entry| &entry.value) {
        Some(Value::Number(number)) => Some(*number),
        _ => model.declaration(path).and_then(|declared| declared.default),
    }
}
