//! A plan: what is varied and what is asked for, resolved once and checked before anything is computed.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use crate::document::{Digest, Value};
use crate::error::Result;
use crate::model::Model;
use crate::recipe::Recipe;
use crate::stop::Stop;
use crate::study::ensemble::design::Design;
use crate::study::ensemble::output::{Output, refuse};
use crate::study::ensemble::points::Points;
use bathkin_numerics::short;

/// The call that messages name.
pub(super) const BY: &str = "ensemble";

/// Members of a chunk. Chunks are counted from member 0, however the members are split.
pub const CHUNK: u64 = 16;

/// An ensemble to compute.
#[derive(Debug, Clone)]
pub struct EnsemblePlan {
    /// What is asked of each member, by which numbers.
    pub points: Points,
    /// Where their values come from.
    pub design: Design,
    /// Seed of the design; kept so that results say it.
    pub seed: u64,
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
    /// [`crate::Error::UnknownName`] for an unknown path or output, [`crate::Error::Recipe`] for one that is named twice,
    /// no members, and a value out of bounds, with its member; as [`Recipe::model`].
    pub fn new(
        recipe: &Recipe,
        paths: &[String],
        design: Design,
        outputs: &[String],
        seed: u64,
    ) -> Result<Self> {
        let first = design.first_values();
        let points = Points::new(recipe, BY, ("draws", paths), outputs, &first)?;
        if design.paths() != paths.len() {
            let found = format!("{} for {} paths", design.paths(), paths.len());
            return Err(refuse(BY, "draws", found, "one column of values or one distribution for each path"));
        }
        check_values(points.base()?, paths, &design)?;
        Ok(EnsemblePlan { points, design, seed })
    }

    /// The same with values from elsewhere, of members of a table that was checked.
    pub fn with_design(&self, design: Design) -> Self {
        EnsemblePlan { points: self.points.clone(), design, seed: self.seed }
    }

    /// The same, heeding a stop.
    pub fn heeding(&self, stop: &Stop) -> Self {
        EnsemblePlan { points: self.points.heeding(stop), ..self.clone() }
    }

    /// The recipe.
    pub fn recipe(&self) -> &Recipe {
        self.points.recipe()
    }

    /// What the recipe's own numbers come to, a value for each output.
    ///
    /// # Errors
    /// Those of its life.
    pub fn at_recipe(&self) -> Result<(Vec<f64>, Option<String>)> {
        self.points.at_recipe()
    }

    /// Some members one after the other.
    ///
    /// # Errors
    /// [`crate::Error::Stopped`] alone: a member that fails is a result.
    pub fn chunk(&self, members: Range<u64>) -> Result<Chunk> {
        let asks_limit = self.points.outputs.iter().any(Output::is_limit);
        let count = (members.end - members.start) as usize;
        let mut chunk = Chunk {
            from: members.start,
            columns: vec![Vec::with_capacity(count); self.points.outputs.len()],
            limits: Vec::new(),
            failed: Vec::new(),
        };
        let model = self.points.base()?;
        for member in members {
            let (values, limit) = match self.member(model, member) {
                Ok(found) => found,
                Err(error) => {
                    self.recipe().go_on()?;
                    let (code, text) = (error.remark().code.to_string(), error.to_string());
                    chunk.failed.push(Failure { member, code, text });
                    (vec![f64::NAN; self.points.outputs.len()], None)
                }
            };
            chunk.columns.iter_mut().zip(values).for_each(|(column, value)| column.push(value));
            if asks_limit {
                chunk.limits.push(limit.unwrap_or_default());
            }
        }
        Ok(chunk)
    }

    fn member(&self, base: &Model, member: u64) -> Result<(Vec<f64>, Option<String>)> {
        self.points.at(base, self.design.values(member), &member_place(member))
    }

    /// What the recipe is known by: every value, and the racks of a calendar, which stand in a file of their own.
    pub(super) fn recipe_digest(&self) -> Result<Digest> {
        let mut digest = Digest::default();
        for entry in self.recipe().document().entries() {
            digest.take_text(&entry.path);
            match &entry.value {
                Value::Number(number) => digest.take_number(*number),
                other => digest.take_text(&other.to_string()),
            }
        }
        digest.take_text(&format!("{:?}", self.recipe().model()?.tank.operation.work));
        Ok(digest)
    }

    /// What its draws are known by, whatever the seed.
    pub(super) fn draws_digest(&self) -> Digest {
        let mut digest = self.design.digest();
        self.points.paths.iter().for_each(|path| digest.take_text(path));
        digest
    }

    /// What its outputs are known by.
    pub(super) fn outputs_digest(&self) -> Digest {
        let mut digest = Digest::default();
        self.points.outputs.iter().for_each(|output| digest.take_text(&output.name));
        digest
    }
}

fn member_place(member: u64) -> String {
    format!("{BY}: member {member}")
}

/// What is known of the values before any member is computed.
fn check_values(model: &Model, paths: &[String], design: &Design) -> Result<()> {
    if let Design::Table { columns, .. } = design {
        let rows = columns.first().map_or(0, Vec::len);
        if let Some((path, column)) = paths.iter().zip(columns).find(|(_, column)| column.len() != rows) {
            let expected = format!("{rows} values, as {} has", paths[0]);
            return Err(refuse(BY, path, format!("{} values", column.len()), expected));
        }
    }
    if design.count() == 0 {
        return Err(refuse(BY, "members", "0", "at least one member"));
    }
    if let Design::Sobol { count, .. } = design
        && !count.is_power_of_two()
    {
        let near = count.next_power_of_two();
        let expected = format!("a power of two, such as {near}: Sobol points are balanced in such numbers");
        return Err(refuse(BY, "members", count.to_string(), expected));
    }
    for (place, path) in paths.iter().enumerate() {
        let Some(bounds) = model.declaration(path).map(|declared| declared.bounds) else { continue };
        let refused = |value: &f64| !(value.is_finite() && bounds.allow(*value));
        match design {
            Design::Table { first, columns } => {
                if let Some(row) = columns[place].iter().position(refused) {
                    return Err(refuse(
                        &member_place(first + row as u64),
                        path,
                        short(columns[place][row]),
                        bounds.what,
                    ));
                }
            }
            Design::Grid(values) => {
                if let Some(value) = values[place].iter().copied().find(|value| refused(value)) {
                    return Err(refuse(BY, path, short(value), bounds.what));
                }
            }
            drawn => {
                if let Some(value) = drawn.distributions()[place].marks().into_iter().find(refused) {
                    let expected = format!("a distribution of {}", bounds.what);
                    return Err(refuse(BY, path, short(value), expected));
                }
            }
        }
    }
    Ok(())
}
