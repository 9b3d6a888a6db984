//! 7. The recipe: a document with its model, resolved once, and what a fit wrote into it.
//!
//! Every number of a recipe has a path with its unit in the name (`operation.temperature_c`). The
//! same path overrides it, sweeps it, and names it in messages.

pub mod built_in;
pub mod constant_list;
mod fitted;
mod merged;
mod named_files;
pub mod numbers;
mod roles;
mod salt_beside;

pub use constant_list::{Constant, SpeciesConstant};

use crate::document::{Document, Entry, Value};
use crate::model::Model;
use crate::model::build::resolve;
use crate::recipe::built_in::{BUILT_IN, on_its_base};
use std::path::Path;
use std::sync::{Arc, OnceLock};

use crate::error::{Error, Place, Result};
use crate::life::Life;
use crate::stop::Stop;

/// A bath described by a document. Cheap to clone; overriding gives a new one.
#[derive(Debug, Clone)]
pub struct Recipe {
    document: Document,
    text: Arc<str>,
    overrides: Vec<(String, Value)>,
    model: OnceLock<Result<Arc<Model>>>,
    /// A model of this recipe at other numbers, and the paths of those.
    before: Option<(Arc<Model>, Vec<String>)>,
    pub(crate) stop: Stop,
}

impl PartialEq for Recipe {
    fn eq(&self, other: &Self) -> bool {
        // Where a value came from does not matter to what the bath does.
        let same = |a: &Entry, b: &Entry| a.path == b.path && a.value == b.value;
        let (mine, theirs) = (self.document.entries(), other.document.entries());
        mine.len() == theirs.len() && mine.iter().zip(theirs).all(|(a, b)| same(a, b))
    }
}

impl Recipe {
    /// Names of the built-in recipes.
    pub fn built_in_names() -> impl Iterator<Item = &'static str> {
        BUILT_IN.iter().map(|(name, _)| *name)
    }

    /// A built-in recipe.
    ///
    /// # Errors
    /// [`Error::UnknownName`] with the valid names.
    pub fn built_in(name: &str) -> Result<Self> {
        let (name, text) = BUILT_IN.iter().find(|(known, _)| *known == name).ok_or_else(|| {
            let place = Place::without_line("built-in recipes");
            Error::unknown_name(place, "recipe", name, Recipe::built_in_names())
        })?;
        Recipe::from_toml(name, text)
    }

    /// A recipe from TOML text; `file` names it in messages.
    ///
    /// With `base = "nickel-acid"` it says only what differs from that built-in recipe: a scenario.
    ///
    /// Only the form is read here; [`Recipe::model`] checks every value.
    ///
    /// # Errors
    /// [`Error::Document`] and [`Error::Recipe`] with file and line.
    pub fn from_toml(file: &str, text: &str) -> Result<Self> {
        let document = Document::parse(file, text)?;
        Ok(Recipe {
            document: on_its_base(document)?,
            text: text.into(),
            overrides: Vec::new(),
            model: OnceLock::new(),
            before: None,
            stop: Stop::default(),
        })
    }

    /// A recipe by built-in name, or from a file.
    ///
    /// # Errors
    /// As [`Recipe::built_in`] and [`Recipe::from_toml`]; [`Error::Document`] when the file cannot
    /// be read.
    pub fn load(name_or_path: &str) -> Result<Self> {
        let path = Path::new(name_or_path);
        let looks_like_file = path.extension().is_some() || path.components().count() > 1;
        if !looks_like_file {
            return Recipe::built_in(name_or_path);
        }
        let text = std::fs::read_to_string(path).map_err(|error| Error::Document {
            place: Place { file: name_or_path.to_owned(), line: None },
            reason: format!("cannot be read: {error}"),
        })?;
        Recipe::from_toml(name_or_path, &text)
    }

    /// This recipe with one value changed; `by` is named in messages (`--set`).
    ///
    /// ```
    /// use bathkin::{Recipe, Value};
    /// let hotter = Recipe::built_in("nickel-acid")?.with("operation.temperature_c", Value::Number(90.0), "example");
    /// assert!(hotter.make_up()?.rate()?.deposition_um_h > 16.5);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn with(&self, path: &str, value: Value, by: &str) -> Self {
        let mut document = self.document.clone();
        document.set(path, value.clone(), by);
        let mut overrides = self.overrides.clone();
        overrides.push((path.to_owned(), value));
        let mut before = match self.model.get() {
            Some(Ok(model)) => Some((model.clone(), Vec::new())),
            _ => self.before.clone(),
        };
        if let Some((_, moved)) = &mut before {
            moved.push(path.to_owned());
        }
        let (text, stop) = (self.text.clone(), self.stop.clone());
        Recipe { document, text, overrides, model: OnceLock::new(), before, stop }
    }

    /// This recipe, whose computations, and those of all that is made of it, end with an error once `stop` is
    /// asked to.
    ///
    /// ```
    /// use bathkin::{Recipe, Stop};
    ///
    /// let stop = Stop::default();
    /// let recipe = Recipe::built_in("nickel-acid")?.heeding(&stop);
    /// assert!(recipe.make_up().is_ok());
    /// stop.ask();
    /// assert!(recipe.simulate_life().is_err());
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn heeding(&self, stop: &Stop) -> Self {
        let (document, text, overrides) = (self.document.clone(), self.text.clone(), self.overrides.clone());
        let model = OnceLock::new();
        if let Some(known) = self.model.get() {
            // What was resolved heeds another; it need not be resolved again.
            let heeding = |model: &Arc<Model>| Arc::new(Model::clone(model).heeding(stop));
            model.get_or_init(|| known.as_ref().map(heeding).map_err(Clone::clone));
        }
        let heeding = |(model, moved): &(Arc<Model>, Vec<String>)| {
            (Arc::new(Model::clone(model).heeding(stop)), moved.clone())
        };
        let before = self.before.as_ref().map(heeding);
        Recipe { document, text, overrides, model, before, stop: stop.clone() }
    }

    /// Goes on unless what this recipe heeds was asked to stop: for loops over many of its kind.
    ///
    /// # Errors
    /// [`Error::Stopped`].
    pub fn go_on(&self) -> Result<()> {
        self.stop.go_on()
    }

    /// The document, overrides included.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// The text the recipe was read from, without overrides.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What was changed since.
    pub fn overrides(&self) -> &[(String, Value)] {
        &self.overrides
    }

    /// The recipe resolved, every value checked. Done once.
    ///
    /// # Errors
    /// [`Error::Recipe`], [`Error::UnknownName`], [`Error::PhNotReachable`] with file, line, key.
    pub fn model(&self) -> Result<&Model> {
        let model = match self.model.get() {
            Some(known) => known,
            None => {
                let found = match &self.before {
                    Some((model, moved)) => {
                        let moved: Vec<&str> = moved.iter().map(String::as_str).collect();
                        model.again(&self.document, &moved, &self.stop)
                    }
                    None => resolve(&self.document, &self.stop),
                };
                let found = found.map(Arc::new);
                // What was stopped is not kept: it may be asked for again.
                found.is_err().then(|| self.stop.go_on()).transpose()?;
                self.model.get_or_init(|| found)
            }
        };
        model.as_deref().map_err(Clone::clone)
    }

    /// The life of the bath, from make-up to the first limit.
    ///
    /// A rack on a calendar plates from the end of its induction time on. Steady work counts as covered
    /// from the start, which is flagged where its substrate starts late. A substrate that does not start
    /// is refused.
    ///
    /// # Errors
    /// As [`Recipe::model`], and those of [`crate::life::simulate()`].
    pub fn simulate_life(&self) -> Result<Life> {
        self.simulate_life_reporting(&mut |_| true)
    }

    /// The same, calling `report` with the turnovers so far; `false` from it ends the run.
    ///
    /// # Errors
    /// As [`Recipe::simulate_life`].
    pub fn simulate_life_reporting(&self, report: &mut dyn FnMut(f64) -> bool) -> Result<Life> {
        let model = self.model()?;
        model.life_to(&model.limits, report)
    }
}
