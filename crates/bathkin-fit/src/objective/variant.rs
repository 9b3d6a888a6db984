//! A recipe at other numbers: the tank, what is in it, and how deposition starts there.

use std::borrow::Cow;
use std::sync::{Arc, Mutex, PoisonError};

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::model::Laws;
use bathkin::surface::Start;
use bathkin::tank::Tank;

use crate::data::cases::ALONE;

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

/// Resolves a recipe at many numbers; what the laws alone decide costs little.
#[derive(Debug)]
pub(crate) struct Variants<'a> {
    recipe: Cow<'a, Recipe>,
    others: Vec<(&'a str, f64)>,
    /// Paths with whether each is a law's number: every point asks for the same ones.
    known: Vec<(&'a str, bool)>,
}

impl<'a> Variants<'a> {
    /// Of a recipe.
    pub fn of(recipe: &'a Recipe) -> Self {
        Variants { recipe: Cow::Borrowed(recipe), others: Vec::new(), known: Vec::new() }
    }

    /// The recipe at (path, value); laws come from `read` where they were read before.
    pub fn at(
        &mut self,
        base: &'a Recipe,
        numbers: &[(&'a str, f64)],
        read: &LawsRead,
        group: usize,
    ) -> bathkin::error::Result<Variant> {
        let (laws, others): (Vec<_>, Vec<_>) =
            numbers.iter().copied().partition(|(path, _)| self.is_law_number(base, path));
        if others != self.others {
            let set =
                |recipe: Recipe, (path, value): &(&str, f64)| recipe.with(path, Value::Number(*value), BY);
            let recipe = others.iter().fold(base.clone(), set);
            recipe.model()?;
            (self.recipe, self.others) = (Cow::Owned(recipe), others);
        }
        let model = self.recipe.model()?;
        let tank = if laws.is_empty() {
            model.tank.clone()
        } else {
            model.tank.with_laws(&*read.at(&self.recipe, &laws, group)?)
        };
        Ok(Variant {
            tank,
            totals_mol_l: model.fresh_totals_mol_l.clone(),
            start: model.start(),
            others: self.others.iter().map(|(_, value)| *value).collect(),
        })
    }

    fn is_law_number(&mut self, base: &Recipe, path: &'a str) -> bool {
        if let Some((_, known)) = self.known.iter().find(|(known, _)| *known == path) {
            return *known;
        }
        let is = base.is_law_number(path);
        self.known.push((path, is));
        is
    }
}

/// Laws at some numbers, with the group of cases whose baths they fit.
type Read = (usize, Vec<(String, u64)>, Arc<Laws>);

/// Laws read so far: many cases ask for the same ones.
#[derive(Debug, Default)]
pub(crate) struct LawsRead {
    read: Mutex<Vec<Read>>,
}

impl LawsRead {
    fn at(
        &self,
        recipe: &Recipe,
        numbers: &[(&str, f64)],
        group: usize,
    ) -> bathkin::error::Result<Arc<Laws>> {
        // Some rounds of a fit with a few numbers; older ones are not asked for again.
        const MOST: usize = 256;
        if group == ALONE {
            return recipe.laws_at(numbers, BY).map(Arc::new);
        }
        let same = |(of, known, _): &&Read| {
            let mut pairs = known.iter().zip(numbers);
            *of == group
                && known.len() == numbers.len()
                && pairs.all(|((path, bits), (asked, value))| path == asked && *bits == value.to_bits())
        };
        let found = self.read.lock().unwrap_or_else(PoisonError::into_inner).iter().find(same).cloned();
        if let Some((_, _, laws)) = found {
            return Ok(laws);
        }
        let laws = Arc::new(recipe.laws_at(numbers, BY)?);
        let key = numbers.iter().map(|(path, value)| ((*path).to_owned(), value.to_bits())).collect();
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        if read.len() >= MOST {
            read.clear();
        }
        read.push((group, key, laws.clone()));
        Ok(laws)
    }
}
