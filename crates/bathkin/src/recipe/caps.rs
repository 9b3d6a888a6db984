//! Whose life a cap ends: `[limits.substrate.NAME]`, NAME a substrate or the material of several.

use super::model::Model;
use super::reader::Flag;
use super::substrates::{Found, Substrate, Surface};
use crate::error::{Error, Place, Result};
use crate::life::outlook::crossing;
use crate::life::{Life, Limit};
use crate::tank::Work;
use bathkin_numerics::short;

/// Tables of caps.
pub(super) const SUBSTRATE: &str = "limits.substrate";

/// What a cap has to do with the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Binds {
    /// Everything plated is of it: it ends the life.
    AllWork,
    /// It is for work that is not plated, or for some of the racks only.
    OtherWork,
    /// No substrate of this metal and reductant is of it.
    Nothing,
}

/// The substrates of a bath and what of them is plated.
pub(super) struct Caps<'a> {
    /// The substrates.
    pub(super) of: &'a Found,
    /// The recipe's own surface.
    pub(super) surface: &'a Surface,
    /// The work.
    pub(super) work: &'a Work,
    /// Metal and reductant, for messages.
    pub(super) family: &'a str,
}

impl Caps<'_> {
    /// Whose life the cap of a substrate or material ends.
    pub(super) fn binds(&self, name: &str, place: Place) -> Result<Binds> {
        if !self.of.known.iter().any(|substrate| is_of(substrate, name)) {
            let elsewhere = self.of.of_any_family.iter().any(|known| known == name);
            return if elsewhere { Ok(Binds::Nothing) } else { Err(self.unknown(name, place)) };
        }
        let plated = plated(self.work, self.surface);
        let bound =
            |plated: &&str| self.of.known.iter().any(|known| known.name == **plated && is_of(known, name));
        Ok(if plated.iter().all(bound) { Binds::AllWork } else { Binds::OtherWork })
    }

    /// Words for a cap that binds nothing.
    pub(super) fn binds_nothing(&self, name: &str) -> String {
        format!(
            "no substrate of {} baths is {}: this cap binds nothing; they are {}",
            self.family.replace('_', " "),
            name.replace('_', " "),
            self.names().join(", ")
        )
    }

    /// The substrates, and the materials that are no substrate's name.
    fn names(&self) -> Vec<&str> {
        let names = self.of.known.iter().flat_map(|substrate| [&substrate.name, &substrate.material]);
        let mut names: Vec<&str> = names.map(String::as_str).collect();
        names.sort_unstable();
        names.dedup();
        names
    }

    fn unknown(&self, name: &str, place: Place) -> Error {
        Error::unknown_name(place, "substrate", name, self.names())
    }
}

fn is_of(substrate: &Substrate, name: &str) -> bool {
    substrate.name == name || substrate.material == name
}

/// Names of the substrates that the work plates.
fn plated<'a>(work: &'a Work, surface: &'a Surface) -> Vec<&'a str> {
    match work {
        Work::Steady(_) => vec![&surface.substrate],
        Work::Loads(loads) => {
            loads.racks().iter().map(|load| load.substrate.as_deref().unwrap_or(&surface.substrate)).collect()
        }
    }
}

impl Model {
    /// Racks that were plated past a cap of theirs which the rest of the work does not have.
    pub(super) fn racks_past_their_caps(&self, life: &Life) -> Vec<Flag> {
        self.limits_of_other_work.iter().filter_map(|limit| self.racks_past(limit, life)).collect()
    }

    fn racks_past(&self, limit: &Limit, life: &Life) -> Option<Flag> {
        let name = limit.substrate.as_deref()?;
        let from = crossing(limit, &self.tank, &life.table)?;
        let has_it = |substrate: &str| {
            self.substrates.iter().any(|known| known.name == substrate && is_of(known, name))
        };
        let of = |substrate: &Option<String>| has_it(substrate.as_deref().unwrap_or(&self.surface.substrate));
        let mut late = life.loads.iter().filter(|load| load.in_h > from.clock_h && of(&load.substrate));
        let first = late.next()?;
        let what = format!(
            "{} = {} was reached after {:.1} h, and {} racks of {} were put in after it, the first, {}, at {:.1} h",
            limit.name,
            short(limit.bound),
            from.clock_h,
            1 + late.count(),
            name.replace('_', " "),
            first.name,
            first.in_h
        );
        Some(Flag { r#where: limit.path.clone(), what })
    }
}
