//! Substrates: how deposition starts on each, and which one a recipe plates.
//!
//! `[substrates.NAME.FAMILY]` says how a bare substrate behaves in baths of a metal and a reductant, and
//! `[substrates.NAME.FAMILY.ACTIVATION]` how long deposition takes to start once it is activated so.
//! `[substrates.NAME] material` says what the part is made of where that is not its name: `aluminium` for
//! `aluminium_zincated`. `work.substrate` and `work.activation` choose; a recipe's own tables are laid over the built-in ones.

use std::sync::{Arc, OnceLock};

use schemars::JsonSchema;
use serde::Serialize;

use crate::document::reader::{Bounds, Reader};
use crate::document::{Document, Value, below};
use crate::error::{Error, Place, Result};
use crate::flag::Flag;
use crate::model::Heading;
use crate::model::species::source;
use crate::source::{Kind, Source};
use crate::surface::{Activation, Behaviour, Coverage, Start};

/// Tables of a recipe that add or change substrates.
pub(crate) const TABLES: [&str; 1] = ["substrates"];
/// What is plated where a recipe does not say.
const DEFAULT: &str = "steel";
/// The component formaldehyde dissolves as, and what the trade calls it.
const HYDRATED: (&str, &str) = ("methylene_glycol", "formaldehyde");

/// A substrate in one family of baths.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(tag = "class")]
pub struct Substrate {
    /// Name, as in `work.substrate`.
    pub name: String,
    /// What it is.
    pub title: String,
    /// What the part is made of: a cap of this binds all of its substrates.
    pub material: String,
    /// Metal and reductant of the baths it holds for, `nickel_hypophosphite`.
    pub family: String,
    /// How it behaves bare.
    pub behaviour: Behaviour,
    /// What practice does about it.
    pub practice: String,
    /// What can go wrong.
    pub caution: Option<String>,
    /// How deposition starts after each activation that makes it start.
    pub starts: Vec<Start>,
    /// Where this comes from.
    #[serde(flatten)]
    pub source: Source,
}

/// A substrate with what is done to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// Name of the substrate.
    pub substrate: String,
    /// What is done to it.
    pub activation: Activation,
    /// Where this was asked for.
    pub place: Place,
}

/// Every substrate of the built-in data.
///
/// # Errors
/// Only when the embedded file is broken, which a test rules out.
pub fn built_in_substrates() -> Result<Vec<Substrate>> {
    let reader = Reader::new(built_in()?);
    read_all(&reader)
}

fn built_in() -> Result<&'static Document> {
    static BUILT_IN: OnceLock<Result<Document>> = OnceLock::new();
    let text = include_str!("../../data/substrates.toml");
    BUILT_IN.get_or_init(|| Document::parse("substrates.toml", text)).as_ref().map_err(Clone::clone)
}

/// The family of a recipe.
pub(crate) fn family(heading: &Heading) -> String {
    let reductant = if heading.reductant == HYDRATED.0 { HYDRATED.1 } else { &heading.reductant };
    format!("{}_{reductant}", heading.metal)
}

/// What the tables of substrates say to one recipe.
#[derive(Debug)]
pub(crate) struct Found {
    /// The substrates of its family.
    pub(crate) known: Arc<[Substrate]>,
    /// Names and materials of the substrates of any family.
    pub(crate) of_any_family: Vec<String>,
    /// Warnings about its own numbers.
    pub(crate) flags: Vec<Flag>,
}

/// The substrates for a recipe.
pub(crate) fn substrates_for(recipe: &Document, heading: &Heading) -> Result<Found> {
    let merged;
    let document = if recipe.has_any(&TABLES) {
        merged = built_in()?.overlaid(recipe, &TABLES);
        &merged
    } else {
        built_in()?
    };
    let family = family(heading);
    // Tables of other families are read too: a misspelt key in them is refused.
    let reader = Reader::new(document);
    let all = read_all(&reader)?;
    let flags = reader.finish()?.flags.into_iter().map(|(_, flag)| flag).collect();
    let names = |one: &Substrate| [one.name.clone(), one.material.clone()];
    let of_any_family = all.iter().flat_map(names).collect();
    let mut known: Vec<Substrate> = all.into_iter().filter(|one| one.family == family).collect();
    if !known.iter().any(|substrate| substrate.name == heading.metal) {
        known.push(own_metal(&heading.metal, family));
    }
    Ok(Found { known: known.into(), of_any_family, flags })
}

/// A deposit is its own catalyst.
fn own_metal(metal: &str, family: String) -> Substrate {
    Substrate {
        name: metal.to_owned(),
        title: metal.to_owned(),
        material: metal.to_owned(),
        family,
        behaviour: Behaviour::StartsByItself,
        practice: "activate it".to_owned(),
        caution: None,
        starts: vec![Start::AT_ONCE],
        source: Source {
            text: "an autocatalytic bath plates on its own deposit".to_owned(),
            kind: Kind::Computed,
        },
    }
}

/// `work.substrate` and `work.activation`.
pub(crate) fn read_surface(reader: &Reader, substrates: &[Substrate], metal: &str) -> Result<Surface> {
    let by_itself = |name: &str| {
        substrates.iter().any(|known| known.name == name && known.behaviour == Behaviour::StartsByItself)
    };
    let default = if by_itself(DEFAULT) { DEFAULT } else { metal };
    let path = "work.substrate";
    let substrate = reader.optional_text(path)?.unwrap_or(default).to_owned();
    named(substrates, &substrate, reader.place(path))?;
    let path = "work.activation";
    let activation = match reader.optional_text(path)? {
        None => Activation::None,
        Some(text) => parsed(text, reader.place(path))?,
    };
    Ok(Surface { substrate, activation, place: reader.place("work.substrate") })
}

/// The activation of a name.
pub(crate) fn parsed(text: &str, place: Place) -> Result<Activation> {
    let valid = Activation::NAMES.iter().map(|(name, _)| *name);
    Activation::parse(text).ok_or_else(|| Error::unknown_name(place, "activation", text, valid))
}

fn named<'a>(substrates: &'a [Substrate], name: &str, place: Place) -> Result<&'a Substrate> {
    substrates.iter().find(|known| known.name == name).ok_or_else(|| {
        Error::unknown_name(place, "substrate", name, substrates.iter().map(|known| known.name.as_str()))
    })
}

impl Surface {
    /// The substrate and how deposition starts on it, refused where it does not start.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for a substrate of no table; [`Error::Recipe`] with what practice does and
    /// the substrates that start by themselves.
    pub(crate) fn start<'a>(&self, substrates: &'a [Substrate]) -> Result<(&'a Substrate, Start)> {
        let substrate = named(substrates, &self.substrate, self.place.clone())?;
        let starts = &substrate.starts;
        if let Some(start) = starts.iter().find(|start| start.activation == self.activation) {
            return Ok((substrate, *start));
        }
        let name = |start: &Start| start.activation.name();
        let valid: Vec<&str> = starts.iter().map(name).collect();
        let (name, behaviour) = (&substrate.name, substrate.behaviour.words());
        let willing: Vec<&str> = substrates
            .iter()
            .filter(|known| known.behaviour == Behaviour::StartsByItself)
            .map(|known| known.name.as_str())
            .collect();
        Err(Error::Recipe {
            place: self.place.clone(),
            key: "work.activation".to_owned(),
            value: self.activation.name().to_owned(),
            expected: format!(
                "{} for the substrate {name}, which in this bath {behaviour}",
                valid.join(" or ")
            ),
            hint: Some(format!(
                "practice: {}; {}these start by themselves: {}",
                substrate.practice,
                substrate.caution.as_ref().map_or_else(String::new, |caution| format!("{caution}; ")),
                willing.join(", ")
            )),
        })
    }
}

/// All substrates of a document.
fn read_all(reader: &Reader) -> Result<Vec<Substrate>> {
    let mut found = Vec::new();
    for name in reader.document().children("substrates") {
        let table = below("substrates", &name);
        let text = |key: &str| -> Result<String> {
            Ok(reader.optional_text(&below(&table, key))?.unwrap_or(&name).to_owned())
        };
        let (title, material) = (text("title")?, text("material")?);
        let families = reader.document().children(&table).into_iter();
        for family in families.filter(|child| !["title", "material"].contains(&child.as_str())) {
            let titles = (title.as_str(), material.as_str());
            found.push(one_substrate(reader, &name, titles, &family)?);
        }
    }
    Ok(found)
}

fn one_substrate(
    reader: &Reader,
    name: &str,
    (title, material): (&str, &str),
    family: &str,
) -> Result<Substrate> {
    let table = format!("substrates.{name}.{family}");
    let path = |key: &str| below(&table, key);
    reader.text(&path("behaviour"))?;
    // There for a table that a recipe may add, also where no activation needs it yet.
    reader.optional(&path("reference_deposition_um_h"), Bounds::POSITIVE)?;
    let behaviour = reader.choice(&path("behaviour"), &Behaviour::NAMES)?;
    let starts: Vec<Start> = Activation::NAMES
        .iter()
        .filter_map(|(_, activation)| one_start(reader, name, family, *activation).transpose())
        .collect::<Result<_>>()?;
    let by_itself = starts.iter().any(|start| start.activation == Activation::None);
    if by_itself != (behaviour == Behaviour::StartsByItself) || starts.is_empty() {
        let expected = "starts_by_itself with a table `none`, or another behaviour with the table of an \
                        activation that makes it start";
        return Err(reader.refuse(&path("behaviour"), expected, None));
    }
    Ok(Substrate {
        name: name.to_owned(),
        title: title.to_owned(),
        material: material.to_owned(),
        family: family.to_owned(),
        behaviour,
        practice: reader.text(&path("practice"))?.to_owned(),
        caution: reader.optional_text(&path("caution"))?.map(str::to_owned),
        source: source(reader, &table)?,
        starts,
    })
}

/// How it starts after an activation, `None` where that does not make it start.
fn one_start(reader: &Reader, name: &str, family: &str, activation: Activation) -> Result<Option<Start>> {
    let table = format!("substrates.{name}.{family}");
    let path = format!("{table}.{}", activation.name());
    if let Some(Value::Text(like)) = reader.entry(&path).map(|entry| &entry.value)
        && reader.document().under(&path).next().is_none()
    {
        // What a strike leaves is the surface of that metal, which has to start by itself.
        let start = match activation {
            Activation::None => None,
            _ => one_start(reader, like, family, Activation::None)?,
        };
        let found = start.map(|start| Start { activation, ..start });
        let expected = "a substrate of this family that starts by itself";
        return found.map(Some).ok_or_else(|| reader.refuse(&path, expected, None));
    }
    let inner = |key: &str| below(&path, key);
    let Some(induction_s) = reader.optional(&inner("induction_s"), Bounds::NOT_NEGATIVE)? else {
        return Ok(None);
    };
    let ratio = reader.optional(&inner("spreading_ratio"), Bounds::between(1e-6, 1e12, RATIO))?;
    let seeds = reader.optional(&inner("seeded_fraction"), Bounds::between(1e-12, 0.999, SEEDS))?;
    let reference_deposition_um_h =
        reader.number(&below(&table, "reference_deposition_um_h"), Bounds::POSITIVE)?;
    let coverage = match (ratio, seeds) {
        _ if induction_s == 0.0 => Coverage::AT_ONCE,
        (Some(ratio), None) => Coverage::nucleating(induction_s, ratio),
        (None, Some(fraction)) => Coverage::seeded(induction_s, fraction),
        _ => {
            let expected = "one of spreading_ratio and seeded_fraction beside an induction_s above zero";
            return Err(reader.refuse(&path, expected, None));
        }
    };
    let range_s = reader.entry(&inner("induction_s")).and_then(|entry| entry.range);
    Ok(Some(Start { activation, coverage, reference_deposition_um_h, induction_s, range_s }))
}

const RATIO: &str = "a ratio of spreading to nucleation above zero";
const SEEDS: &str = "a fraction above zero and below 0.999";

/// A surface asked for by a call rather than by the recipe; what is not named stays the recipe's. Another
/// substrate is bare unless an activation is named.
pub(crate) fn surface_for(
    recipe: &Surface,
    substrate: Option<&str>,
    activation: Option<&str>,
) -> Result<Surface> {
    if substrate.is_none() && activation.is_none() {
        return Ok(recipe.clone());
    }
    let place = Place::without_line("plate");
    let other = substrate.is_some_and(|name| name != recipe.substrate);
    Ok(Surface {
        substrate: substrate.unwrap_or(&recipe.substrate).to_owned(),
        activation: match activation {
            Some(text) => parsed(text, place.clone())?,
            None if other => Activation::None,
            None => recipe.activation,
        },
        place,
    })
}
