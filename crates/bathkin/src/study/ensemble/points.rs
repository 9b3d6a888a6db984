//! A recipe whose answers are asked at many values of some of its numbers, resolved once.

use crate::document::Value;
use crate::error::{Error, Place, Result};
use crate::life::Limit;
use crate::model::Model;
use crate::recipe::Recipe;
use crate::stop::Stop;
use crate::study::ensemble::output::{Output, looked_to, refuse};
use crate::tank::Quantity;
use bathkin_numerics::short;

/// What is asked of a recipe, and by which of its numbers.
#[derive(Debug, Clone)]
pub struct Points {
    /// The recipe.
    recipe: Recipe,
    /// The same with a number at every path, so that points differ from it by numbers alone and no text is read again.
    base: Recipe,
    /// Paths of the numbers that vary.
    pub paths: Vec<String>,
    /// What is asked.
    pub outputs: Vec<Output>,
    /// Turnovers after which nothing is looked at; none where the end of the life is.
    looked_to: Option<u32>,
}

impl Points {
    /// Checks paths and outputs; `by` is the call that is named in messages, `first` are values that every path can have.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for an unknown path or output, [`Error::Recipe`] for one that is named twice, and none; as
    /// [`Recipe::model`].
    pub fn new(
        recipe: &Recipe,
        by: &str,
        (named_by, paths): (&str, &[String]),
        outputs: &[String],
        first: &[f64],
    ) -> Result<Self> {
        let model = recipe.model()?;
        check_names(by, named_by, paths)?;
        check_names(by, "outputs", outputs)?;
        if let Some(path) = paths.iter().find(|path| model.declaration(path).is_none()) {
            let known = model.parameters();
            let valid = known.iter().map(|one| one.path.as_str());
            return Err(Error::unknown_name(Place::without_line(by), "number", path, valid));
        }
        let found = outputs.iter().map(|name| Output::named(&model.tank, name, by));
        let outputs = found.collect::<Result<Vec<Output>>>()?;
        let looked_to = looked_to(&outputs);
        let base = with_every_number(recipe, model, by, paths, first);
        Ok(Points { recipe: recipe.clone(), base, paths: paths.to_vec(), outputs, looked_to })
    }

    /// The same, heeding a stop.
    pub fn heeding(&self, stop: &Stop) -> Self {
        Points { recipe: self.recipe.heeding(stop), base: self.base.heeding(stop), ..self.clone() }
    }

    /// The recipe.
    pub fn recipe(&self) -> &Recipe {
        &self.recipe
    }

    /// The model that points are made from.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn base(&self) -> Result<&Model> {
        self.base.model()
    }

    /// What the recipe's own numbers come to, a value for each output, and the first limit where a life was computed.
    ///
    /// # Errors
    /// Those of its life.
    pub fn at_recipe(&self) -> Result<(Vec<f64>, Option<String>)> {
        self.read(self.recipe.model()?)
    }

    /// The same at values of the paths; `place` is named in messages.
    ///
    /// # Errors
    /// [`Error::Recipe`] for a value out of bounds; those of the life.
    pub fn at(
        &self,
        base: &Model,
        values: impl IntoIterator<Item = f64>,
        place: &str,
    ) -> Result<(Vec<f64>, Option<String>)> {
        self.recipe.go_on()?;
        let named: Vec<(&str, f64)> = self.paths.iter().map(String::as_str).zip(values).collect();
        for (path, value) in &named {
            let bounds = base.declaration(path).map(|declared| declared.bounds);
            if let Some(bounds) = bounds.filter(|bounds| !bounds.allow(*value)) {
                return Err(refuse(place, path, short(*value), bounds.what));
            }
        }
        self.read(&base.at(&named, place)?)
    }

    /// The outputs of a model, and its first limit where it lived.
    fn read(&self, model: &Model) -> Result<(Vec<f64>, Option<String>)> {
        let tank = &model.tank;
        if self.looked_to == Some(0) {
            let fresh = model.fresh_readings()?;
            let value = |output: &Output| output.of_fresh(tank, &fresh).unwrap_or(f64::NAN);
            return Ok((self.outputs.iter().map(value).collect(), None));
        }
        let mut limits = model.limits.clone();
        limits.extend(self.looked_to.map(|last| Limit::on(tank, Quantity::TURNOVERS, f64::from(last))));
        let life = model.life_to(&limits, &mut |_| true)?;
        let values = self.outputs.iter().map(|output| output.of_life(tank, &life)).collect();
        Ok((values, Some(life.verdict.limit)))
    }
}

/// The recipe with a number at every path: its own, or what stands for it, or that of the first member.
fn with_every_number(recipe: &Recipe, model: &Model, by: &str, paths: &[String], first: &[f64]) -> Recipe {
    let mut base = recipe.clone();
    for (path, first) in paths.iter().zip(first) {
        if recipe.document().get(path).is_none() && model.kept.constants.document.get(path).is_none() {
            let default = model.declaration(path).and_then(|declared| declared.default);
            base = base.with(path, Value::Number(default.unwrap_or(*first)), by);
        }
    }
    if base.model().is_ok() { base } else { recipe.clone() }
}

/// At least one name, none twice.
fn check_names(by: &str, what: &str, names: &[String]) -> Result<()> {
    if names.is_empty() {
        return Err(refuse(by, what, "(none)", "at least one"));
    }
    let twice = names.iter().enumerate().find(|(place, name)| names[..*place].contains(name));
    twice.map_or(Ok(()), |(_, name)| Err(refuse(by, what, name, "each name once: it is there twice")))
}
