//! Whose life a cap ends: `[limits.substrate.NAME]`, NAME a substrate or the material of several.

use crate::error::{Error, Place, Result};
use crate::model::substrates::{Found, Substrate, Surface};
use crate::tank::Work;

/// Tables of caps.
pub(crate) const SUBSTRATE: &str = "limits.substrate";

/// What a cap has to do with the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Binds {
    /// Everything plated is of it: it ends the life.
    AllWork,
    /// It is for work that is not plated, or for some of the racks only.
    OtherWork,
    /// No substrate of this metal and reductant is of it.
    Nothing,
}

/// The substrates of a bath and what of them is plated.
pub(crate) struct Caps<'a> {
    /// The substrates.
    pub(crate) of: &'a Found,
    /// The recipe's own surface.
    pub(crate) surface: &'a Surface,
    /// The work.
    pub(crate) work: &'a Work,
    /// Metal and reductant, for messages.
    pub(crate) family: &'a str,
}

impl Caps<'_> {
    /// Whose life the cap of a substrate or material ends.
    pub(crate) fn binds(&self, name: &str, place: Place) -> Result<Binds> {
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
    pub(crate) fn binds_nothing(&self, name: &str) -> String {
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

/// Whether a substrate has a name, or is of a material of that name.
pub(crate) fn is_of(substrate: &Substrate, name: &str) -> bool {
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
