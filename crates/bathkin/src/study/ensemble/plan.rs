//! A plan: what is varied and what is asked for, resolved once and checked before anything is computed.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use crate::document::{Digest, Value};
use crate::error::{Error, Result};
use crate::life::Limit;
use crate::model::Model;
use crate::recipe::Recipe;
use crate::stop::Stop;
use crate::study::ensemble::design::Design;
use crate::study::ensemble::output::{Output, looked_to, place, refuse, refuse_value};
use crate::tank::Quantity;

/// Members of a chunk. Chunks are counted from member 0, however the members are split.
pub const CHUNK: u64 = 16;

/// An ensemble to compute.
#[derive(Debug, Clone)]
pub struct EnsemblePlan {
    /// The recipe.
    recipe: Recipe,
    /// The same with a number at every path, so that members differ from it by numbers alone and no text is read again.
    base: Recipe,
    /// Paths of the numbers that vary.
    pub paths: Vec<String>,
    /// Where their values come from.
    pub design: Design,
    /// What is asked of each member.
    pub outputs: Vec<Output>,
    /// Seed of the design; kept so that results say it.
    pub seed: u64,
    /// Turnovers after which nothing is looked at; none where the end of the life is.
    looked_to: Option<u32>,
}

/// What some members in a row came to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Chunk {
    /// The first member.
    pub from: u64,
    /// For each output its values, `NaN` where there is none.
    pub columns: Vec<Vec<f64>>,
    /// First limits, empty for members that failed; no texts where nothing asks for them.
    pub limits: Vec<String>,
    /// Members that failed.
    pub failed: Vec<Failure>,
}

/// Why a member failed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Failure {
    /// Its number.
    pub member: u64,
    /// The kind of error, for programs.
    pub code: String,
    /// In words.
    pub text: String,
}

impl Chunk {
    /// Its members.
    pub fn members(&self) -> Range<u64> {
        self.from..self.from + self.columns.first().map_or(0, Vec::len) as u64
    }
}

impl EnsemblePlan {
    /// Checks what is varied and asked for.
    ///
    /// Values of a table and of a grid must all be within their bounds; distributions their ends or middles. A random
    /// value beyond its bounds fails its member alone.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// use bathkin::study::ensemble::{Design, EnsemblePlan};
    ///
    /// let recipe = Recipe::built_in("nickel-acid")?;
    /// let design = Design::Grid(vec![vec![4.4, 5.2]]);
    /// let (paths, outputs) = (["operation.ph".to_owned()], ["make_up.deposition_um_h".to_owned()]);
    /// let plan = EnsemblePlan::new(&recipe, &paths, design, &outputs, 0)?;
    /// let chunk = plan.chunk(0..2)?;
    /// assert!(chunk.columns[0][0] < chunk.columns[0][1]);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::UnknownName`] for an unknown path or output, [`Error::Recipe`] for one that is named twice, no members, and a
    /// value out of bounds, with its member; as [`Recipe::model`].
    pub fn new(
        recipe: &Recipe,
        paths: &[String],
        design: Design,
        outputs: &[String],
        seed: u64,
    ) -> Result<Self> {
        let model = recipe.model()?;
        check_names("draws", paths)?;
        check_names("outputs", outputs)?;
        let known = model.parameters();
        if let Some(path) = paths.iter().find(|path| model.declaration(path).is_none()) {
            let valid = known.iter().map(|one| one.path.as_str());
            return Err(Error::unknown_name(place(), "number", path, valid));
        }
        if design.paths() != paths.len() {
            let found = format!("{} for {} paths", design.paths(), paths.len());
            return Err(refuse("draws", found, "one column of values or one distribution for each path"));
        }
        let found = outputs.iter().map(|name| Output::named(&model.tank, name));
        let outputs = found.collect::<Result<Vec<Output>>>()?;
        check_values(model, paths, &design)?;
        let looked_to = looked_to(&outputs);
        let base = with_every_number(recipe, model, paths, &design);
        let (recipe, paths) = (recipe.clone(), paths.to_vec());
        Ok(EnsemblePlan { recipe, base, paths, design, outputs, seed, looked_to })
    }

    /// The same, heeding a stop.
    pub fn heeding(&self, stop: &Stop) -> Self {
        EnsemblePlan { recipe: self.recipe.heeding(stop), base: self.base.heeding(stop), ..self.clone() }
    }

    /// The recipe.
    pub fn recipe(&self) -> &Recipe {
        &self.recipe
    }

    /// What the recipe's own numbers come to, a value for each output.
    ///
    /// # Errors
    /// Those of its life.
    pub fn at_recipe(&self) -> Result<(Vec<f64>, Option<String>)> {
        self.read(self.recipe.model()?)
    }

    /// Some members one after the other.
    ///
    /// # Errors
    /// [`Error::Stopped`] alone: a member that fails is a result.
    pub fn chunk(&self, members: Range<u64>) -> Result<Chunk> {
        let asks_limit = self.outputs.iter().any(Output::is_limit);
        let count = (members.end - members.start) as usize;
        let mut chunk = Chunk {
            from: members.start,
            columns: vec![Vec::with_capacity(count); self.outputs.len()],
            limits: Vec::new(),
            failed: Vec::new(),
        };
        let model = self.base.model()?;
        for member in members {
            let (values, limit) = match self.member(model, member) {
                Ok(found) => found,
                Err(error) => {
                    self.recipe.go_on()?;
                    let (code, text) = (error.remark().code.to_string(), error.to_string());
                    chunk.failed.push(Failure { member, code, text });
                    (vec![f64::NAN; self.outputs.len()], None)
                }
            };
            chunk.columns.iter_mut().zip(values).for_each(|(column, value)| column.push(value));
            if asks_limit {
                chunk.limits.push(limit.unwrap_or_default());
            }
        }
        Ok(chunk)
    }

    fn member(&self, model: &Model, member: u64) -> Result<(Vec<f64>, Option<String>)> {
        self.recipe.go_on()?;
        let values = self.design.values(member);
        let named: Vec<(&str, f64)> = self.paths.iter().map(String::as_str).zip(values).collect();
        for (path, value) in &named {
            let bounds = model.declaration(path).map(|declared| declared.bounds);
            if let Some(bounds) = bounds.filter(|bounds| !bounds.allow(*value)) {
                return Err(refuse_value(member, path, *value, bounds.what));
            }
        }
        self.read(&model.at(&named, &format!("ensemble: member {member}"))?)
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

    /// What the recipe is known by: every value, and the racks of a calendar, which stand in a file of their own.
    pub(super) fn recipe_digest(&self) -> Result<Digest> {
        let mut digest = Digest::default();
        for entry in self.recipe.document().entries() {
            digest.take_text(&entry.path);
            match &entry.value {
                Value::Number(number) => digest.take_number(*number),
                other => digest.take_text(&other.to_string()),
            }
        }
        digest.take_text(&format!("{:?}", self.recipe.model()?.tank.operation.work));
        Ok(digest)
    }

    /// What its draws are known by, whatever the seed.
    pub(super) fn draws_digest(&self) -> Digest {
        let mut digest = self.design.digest();
        self.paths.iter().for_each(|path| digest.take_text(path));
        digest
    }

    /// What its outputs are known by.
    pub(super) fn outputs_digest(&self) -> Digest {
        let mut digest = Digest::default();
        self.outputs.iter().for_each(|output| digest.take_text(&output.name));
        digest
    }
}

/// The recipe with a number at every path: its own, or what stands for it, or that of the first member.
fn with_every_number(recipe: &Recipe, model: &Model, paths: &[String], design: &Design) -> Recipe {
    let mut base = recipe.clone();
    for (path, first) in paths.iter().zip(design.values(design.first())) {
        if recipe.document().get(path).is_none() && model.kept.constants.document.get(path).is_none() {
            let default = model.declaration(path).and_then(|declared| declared.default);
            base = base.with(path, Value::Number(default.unwrap_or(first)), "ensemble");
        }
    }
    if base.model().is_ok() { base } else { recipe.clone() }
}

/// At least one name, none twice.
fn check_names(what: &str, names: &[String]) -> Result<()> {
    if names.is_empty() {
        return Err(refuse(what, "(none)", "at least one"));
    }
    let twice = names.iter().enumerate().find(|(place, name)| names[..*place].contains(name));
    twice.map_or(Ok(()), |(_, name)| Err(refuse(what, name, "each name once: it is there twice")))
}

/// What is known of the values before any member is computed.
fn check_values(model: &Model, paths: &[String], design: &Design) -> Result<()> {
    if let Design::Table { columns, .. } = design {
        let rows = columns.first().map_or(0, Vec::len);
        if let Some((path, column)) = paths.iter().zip(columns).find(|(_, column)| column.len() != rows) {
            let expected = format!("{rows} values, as {} has", paths[0]);
            return Err(refuse(path, format!("{} values", column.len()), expected));
        }
    }
    if design.count() == 0 {
        return Err(refuse("members", "0", "at least one member"));
    }
    if let Design::Sobol { count, .. } = design
        && !count.is_power_of_two()
    {
        let near = count.next_power_of_two();
        let expected = format!("a power of two, such as {near}: Sobol points are balanced in such numbers");
        return Err(refuse("members", count.to_string(), expected));
    }
    for (place, path) in paths.iter().enumerate() {
        let Some(bounds) = model.declaration(path).map(|declared| declared.bounds) else { continue };
        let refused = |value: &f64| !(value.is_finite() && bounds.allow(*value));
        match design {
            Design::Table { first, columns } => {
                if let Some(row) = columns[place].iter().position(refused) {
                    return Err(refuse_value(first + row as u64, path, columns[place][row], bounds.what));
                }
            }
            Design::Grid(values) => {
                if let Some(value) = values[place].iter().copied().find(|value| refused(value)) {
                    return Err(refuse(path, bathkin_numerics::short(value), bounds.what));
                }
            }
            drawn => {
                if let Some(value) = drawn.distributions()[place].marks().into_iter().find(refused) {
                    let expected = format!("a distribution of {}", bounds.what);
                    return Err(refuse(path, bathkin_numerics::short(value), expected));
                }
            }
        }
    }
    Ok(())
}
