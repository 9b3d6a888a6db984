//! What a recipe stands on: its heading, its chemistry and the substrates of its family.

use std::sync::Arc;

use crate::document::reader::{Reader, Role};
use crate::error::Result;
use crate::model::Heading;
use crate::model::database::{self, Constants, constants_for};
use crate::model::heading::{read_activity, read_format, read_heading};
use crate::model::substrates::{self, Found, Surface, read_surface, substrates_for};
use crate::solution::Activity;

/// What a recipe stands on.
#[derive(Debug)]
pub(crate) struct Ground {
    /// What it says about itself.
    pub(crate) heading: Arc<Heading>,
    /// The chemistry, with what can be set of it.
    pub(crate) constants: Arc<Constants>,
    /// How activities are computed.
    pub(crate) activity: Activity,
    /// The substrates.
    pub(crate) substrates: Found,
    /// What is plated.
    pub(crate) surface: Surface,
}

impl Ground {
    pub(crate) fn read(reader: &Reader) -> Result<Self> {
        reader.role(Role::Format);
        read_format(reader)?;
        // Laid below this document when it was read.
        reader.optional_text("base")?;
        let document = reader.document();
        let constants = constants_for(document)?;
        let heading = read_heading(reader)?;
        for entry in document.entries() {
            // The chemistry has checked its own tables already.
            let own = database::TABLES.iter().chain(&substrates::TABLES);
            if own.into_iter().any(|table| entry.path.starts_with(&format!("{table}."))) {
                reader.entry(&entry.path);
            }
        }
        let substrates = substrates_for(document, &heading)?;
        let surface = read_surface(reader, &substrates.known, &heading.metal)?;
        reader.role(Role::Constant);
        let activity = read_activity(reader)?;
        let heading = Arc::new(heading);
        Ok(Ground { heading, constants, activity, substrates, surface })
    }
}
