//! Numbers of the recipe that are drawn for each member.
//!
//! Those that [`widths`] knows: constants by their standard deviations, numbers of laws by their range. Likewise what the
//! recipe has as invented, with a range, of reactions of the liquid, of the exchange with the air and of the tank. About the value
//! of the recipe, which the log was followed with; never beyond the range. The shop says which are held, and which others that
//! have a range are drawn. What the drag-out factor stands for is drawn with that.

use bathkin::Recipe;
use bathkin::document::{Declaration, ParameterScale, Role};
use bathkin::error::Place;
use bathkin::model::Parameter;
use bathkin::source::Kind as SourceKind;

use crate::error::DataError;
use crate::estimate::{NumberWidth, Prior, widths};
use crate::track::unknown::{Kind, Unknown};

/// A number of the recipe with its width.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Number {
    pub path: String,
    pub value: f64,
    /// Standard deviation: of the logarithm where `log`.
    sd: f64,
    log: bool,
    range: Option<(f64, f64)>,
}

impl Number {
    /// Its value so many standard deviations above that of the recipe.
    pub fn at(&self, deviations: f64) -> f64 {
        let by = self.sd * deviations;
        let moved = if self.log { self.value * by.exp() } else { self.value + by };
        match self.range {
            Some((low, high)) => moved.clamp(low.min(self.value), high.max(self.value)),
            None => moved,
        }
    }
}

/// The numbers that are drawn, but for those at or below the paths of `hold`, and those at or below the paths of `draw`.
///
/// # Errors
/// A path that is none; one to draw that has no width, or that no one needs to guess.
pub(crate) fn numbers(
    recipe: &Recipe,
    unknowns: &[Unknown],
    hold: &[String],
    draw: &[String],
) -> Result<Vec<Number>, DataError> {
    let model = recipe.model()?;
    let mut parameters = model.parameters();
    let factor = unknowns.iter().find(|one| one.kind == Kind::DragOut);
    let by_factor = |path: &str| factor.is_some() && path.starts_with("tank.drag_");
    let known = widths(recipe, true)?;
    // Those of solids, which are no species of the bath.
    let beyond: Vec<Parameter> = known
        .iter()
        .filter(|width| parameters.iter().all(|one| one.path != width.path))
        .filter_map(|width| Some(of_solid(model.declaration(&width.path)?, width.normal?.0)))
        .collect();
    parameters.extend(beyond);
    let width = |one: &Parameter| known.iter().find(|width| width.path == one.path);
    let by_itself = |one: &Parameter| {
        let role = matches!(one.role, Role::LawOfLiquid | Role::GasExchange | Role::Tank);
        let invented = one.source.as_ref().is_some_and(|source| source.kind == SourceKind::Invented);
        role && invented && one.range.is_some()
    };
    let (mut found, mut held, mut asked) = (Vec::new(), vec![false; hold.len()], vec![false; draw.len()]);
    for one in &parameters {
        let Some(value) = one.value else { continue };
        let is_held = hold.iter().zip(&mut held).fold(false, |before, (path, seen)| {
            *seen |= at_or_below(path, &one.path);
            before | at_or_below(path, &one.path)
        });
        let mut alone = false;
        let is_asked = draw.iter().zip(&mut asked).fold(false, |before, (path, seen)| {
            *seen |= at_or_below(path, &one.path);
            alone |= *path == one.path;
            before | at_or_below(path, &one.path)
        });
        let usual = width(one).is_some() || by_itself(one);
        if is_held || !(usual || is_asked) || (by_factor(&one.path) && !alone) {
            continue;
        }
        match number(recipe, one, value, width(one)) {
            Ok(_) if alone && by_factor(&one.path) => {
                let expected = "a number that no factor stands for: it is drawn as the drag-out factor";
                return Err(refused(recipe, one, value, expected));
            }
            Ok(_) if alone && !guessed(one.role) => {
                let expected =
                    "a constant, or a number of a law, a solution or the tank: what the shop sets it knows";
                return Err(refused(recipe, one, value, expected));
            }
            Ok(number) if usual || guessed(one.role) => found.push(number),
            Ok(_) => {}
            Err(_) if alone => {
                let expected =
                    "a fitted number, or one with a range with a width: { value = .., range = [low, high] }";
                return Err(refused(recipe, one, value, expected));
            }
            // Of a whole table those are drawn that have a width.
            Err(_) => {}
        }
    }
    let paths = hold.iter().zip(&held).chain(draw.iter().zip(&asked));
    if let Some((path, _)) = paths.into_iter().find(|(_, seen)| !**seen) {
        let valid = parameters.iter().filter(|one| one.value.is_some()).map(|one| one.path.as_str());
        let place = Place { file: "track".to_owned(), line: None };
        return Err(bathkin::Error::unknown_name(place, "number of the recipe", path, valid).into());
    }
    Ok(found)
}

fn of_solid(declared: &Declaration, value: f64) -> Parameter {
    Parameter {
        path: declared.path.clone(),
        value: Some(value),
        default: None,
        bounds: declared.bounds,
        scale: ParameterScale::Linear,
        role: declared.role,
        range: None,
        source: None,
    }
}

/// Whether a path is that of a table or number, or one of that table.
fn at_or_below(of: &str, path: &str) -> bool {
    path.strip_prefix(of).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

/// Whether a path is asked for by itself or with its table.
pub(crate) fn is_asked(asked: &[String], path: &str) -> bool {
    asked.iter().any(|of| at_or_below(of, path))
}

/// Whether a number of this role is one that nobody sets.
fn guessed(role: Role) -> bool {
    use Role::{Constant, GasExchange, Law, LawOfLiquid, Solution, Tank};
    matches!(role, Constant | Law | LawOfLiquid | GasExchange | Solution | Tank)
}

fn refused(recipe: &Recipe, one: &Parameter, value: f64, expected: &str) -> DataError {
    let entry = recipe.document().get(&one.path);
    let error = bathkin::Error::Recipe {
        place: entry.map_or_else(Place::default, |entry| entry.place.clone()),
        key: one.path.clone(),
        value: value.to_string(),
        expected: format!("to draw it, {expected}"),
        hint: None,
    };
    error.into()
}

fn number(
    recipe: &Recipe,
    one: &Parameter,
    value: f64,
    width: Option<&NumberWidth>,
) -> Result<Number, DataError> {
    let (path, range) = (one.path.clone(), one.range);
    if let Some((_, sd)) = width.and_then(|width| width.normal) {
        return Ok(Number { path, value, sd, log: false, range });
    }
    let Prior { mean, standard_deviation, .. } = Prior::from_recipe(recipe, &one.path)?;
    let log = one.scale == ParameterScale::Log;
    let sd = if log { standard_deviation / mean } else { standard_deviation };
    Ok(Number { path, value, sd, log, range })
}
