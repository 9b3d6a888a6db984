//! A recipe at other numbers: the tank, what is in it, and how deposition starts there.

use std::borrow::Cow;

use bathkin::document::{ParameterId, Value};
use bathkin::surface::Start;
use bathkin::tank::Tank;
use bathkin::{Model, Recipe};

/// Named in messages of the recipe.
const BY: &str = "the fit";

/// A recipe resolved at some numbers.
#[derive(Debug, Clone)]
pub(crate) struct Variant {
    /// The tank.
    pub tank: Tank,
    /// Totals of its fresh bath, mol/L.
    pub totals_mol_l: Vec<f64>,
    /// How deposition starts on what the recipe plates, or why it does not.
    pub start: bathkin::error::Result<Start>,
    /// Values of the numbers that are no law's: variants that share them differ by their laws alone.
    pub others: Vec<f64>,
}

/// A recipe at many numbers; what the laws alone decide is written into their slots.
#[derive(Debug)]
pub(crate) struct Variants<'a> {
    base: &'a Recipe,
    /// The recipe at the numbers last asked for that are no law's.
    recipe: Cow<'a, Recipe>,
    others: Vec<(&'a str, f64)>,
    /// Paths with their slots: every point asks for the same ones.
    slots: Vec<(&'a str, Option<ParameterId>)>,
}

impl<'a> Variants<'a> {
    /// Of a recipe.
    pub fn of(base: &'a Recipe) -> Self {
        Variants { base, recipe: Cow::Borrowed(base), others: Vec::new(), slots: Vec::new() }
    }

    /// The recipe at (path, value).
    pub fn at(&mut self, numbers: &[(&'a str, f64)]) -> bathkin::error::Result<Variant> {
        let (mut laws, mut others) = (Vec::new(), Vec::new());
        for (path, value) in numbers {
            match self.slot(path)? {
                Some(slot) => laws.push((slot, *value)),
                None => others.push((*path, *value)),
            }
        }
        if others != self.others {
            let set =
                |recipe: Recipe, (path, value): &(&str, f64)| recipe.with(path, Value::Number(*value), BY);
            let recipe = others.iter().fold(self.base.clone(), set);
            recipe.model()?;
            (self.recipe, self.others) = (Cow::Owned(recipe), others);
        }
        let model = self.recipe.model()?;
        Ok(Variant {
            tank: if laws.is_empty() { model.tank.clone() } else { model.tank_at(&laws, BY)? },
            totals_mol_l: model.fresh_totals_mol_l.clone(),
            start: model.start(),
            others: self.others.iter().map(|(_, value)| *value).collect(),
        })
    }

    /// The model at the numbers last asked for that are no law's.
    pub fn model(&self) -> bathkin::error::Result<&Model> {
        self.recipe.model()
    }

    /// The slot of a number of a law.
    fn slot(&mut self, path: &'a str) -> bathkin::error::Result<Option<ParameterId>> {
        if let Some((_, known)) = self.slots.iter().find(|(known, _)| *known == path) {
            return Ok(*known);
        }
        let slot = self.base.model()?.law_slot(path);
        self.slots.push((path, slot));
        Ok(slot)
    }
}
