//! The plate-out law of a recipe.

use crate::constants::SECONDS_PER_HOUR;
use crate::document::reader::{Bounds, Reader};
use crate::document::slot::Slot;
use crate::error::Result;
use crate::model::laws::read_law;
use crate::model::slots::Slots;
use crate::surface::{Decomposition, RateLaw};

/// `[decomposition]`: `rate_mol_l_h`, `flag_above_pct`, and the factors of a law.
pub(crate) fn read_decomposition(reader: &Reader, slots: &Slots) -> Result<Option<Decomposition<Slot>>> {
    const TABLE: &str = "decomposition";
    if reader.document().children(TABLE).is_empty() {
        return Ok(None);
    }
    let law = read_law(reader, slots, TABLE, "rate_mol_l_h")?;
    Ok(Some(Decomposition {
        law: RateLaw { value_at_reference: law.value_at_reference / SECONDS_PER_HOUR, ..law },
        flag_above_pct: reader.number("decomposition.flag_above_pct", Bounds::POSITIVE)?,
    }))
}
