//! A recipe at other numbers: the tank, what is in it, and how deposition starts there.

use std::borrow::Cow;

use bathkin::Recipe;
use bathkin::recipe::Value;
use bathkin::surface::Start;
use bathkin::tank::Tank;

/// A recipe resolved at some numbers.
#[derive(Debug, Clone)]
pub struct Variant {
    /// The tank.
    pub tank: Tank,
    /// Totals of its fresh bath, mol/L.
    pub totals_mol_l: Vec<f64>,
    /// How deposition starts on what the recipe plates, or why it does not.
    pub start: bathkin::error::Result<Start>,
}

/// Resolves a recipe at many numbers; what the laws alone decide costs little.
#[derive(Debug)]
pub struct Variants<'a> {
    recipe: Cow<'a, Recipe>,
    /// Numbers that are no law's, as `recipe` has them.
    others: Vec<(&'a str, f64)>,
}

impl<'a> Variants<'a> {
    /// Of a recipe.
    pub fn of(recipe: &'a Recipe) -> Self {
        Variants { recipe: Cow::Borrowed(recipe), others: Vec::new() }
    }

    /// The recipe at (path, value).
    ///
    /// # Errors
    /// As [`Recipe::model`] and [`Recipe::tank_with_laws`].
    pub fn at(&mut self, base: &'a Recipe, numbers: &[(&'a str, f64)]) -> bathkin::error::Result<Variant> {
        const BY: &str = "the fit";
        let (laws, others): (Vec<_>, Vec<_>) =
            numbers.iter().copied().partition(|(path, _)| base.is_law_number(path));
        if others != self.others {
            let set =
                |recipe: Recipe, (path, value): &(&str, f64)| recipe.with(path, Value::Number(*value), BY);
            let recipe = others.iter().fold(base.clone(), set);
            recipe.model()?;
            *self = Variants { recipe: Cow::Owned(recipe), others };
        }
        let model = self.recipe.model()?;
        let tank =
            if laws.is_empty() { model.tank.clone() } else { self.recipe.tank_with_laws(&laws, BY)? };
        Ok(Variant { tank, totals_mol_l: model.fresh_totals_mol_l.clone(), start: model.start() })
    }
}
