//! What a recipe says about itself, and which reading of it applies.

use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::solution::Activity;

/// What a recipe says about itself.
#[derive(Debug, Clone, PartialEq, Eq, schemars::JsonSchema, serde::Serialize)]
pub struct Heading {
    /// Name.
    pub name: String,
    /// A line on what it is.
    pub title: String,
    /// The metal, as a component.
    pub metal: String,
    /// The reductant, as a component.
    pub reductant: String,
    /// The by-product, as a component.
    pub by_product: String,
    /// How far it is backed by published data.
    pub backing: String,
    /// Where published laws and numbers of such baths disagree, each a sentence with its sources.
    pub disagreements: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// What to cite.
    pub cite: Vec<String>,
}

pub(crate) fn read_format(reader: &Reader) -> Result<()> {
    const FORMAT: f64 = 1.0;
    let format = reader.number("format", Bounds::ANY)?;
    if format == FORMAT {
        Ok(())
    } else {
        Err(reader.refuse("format", "1, the format this version reads", None))
    }
}

pub(crate) fn read_heading(reader: &Reader) -> Result<Heading> {
    Ok(Heading {
        name: reader.text("name")?.to_owned(),
        title: reader.text("title")?.to_owned(),
        metal: reader.text("metal")?.to_owned(),
        reductant: reader.text("reductant")?.to_owned(),
        by_product: reader.text("by_product")?.to_owned(),
        backing: reader.text("backing")?.to_owned(),
        disagreements: reader.list("disagreements")?,
        cautions: reader.list("cautions")?,
        cite: reader.list("cite")?,
    })
}

pub(crate) fn read_activity(reader: &Reader) -> Result<Activity> {
    let held = reader.number_or(
        "solution.davies_held_above_mol_l",
        Bounds::POSITIVE,
        crate::solution::activity::DAVIES_TRUSTED_TO_MOL_L,
    )?;
    let davies = Activity::Davies { held_above_mol_l: held };
    reader.choice(
        "solution.activity",
        &[("sit", Activity::Sit), ("davies", davies), ("ideal", Activity::Ideal)],
    )
}
