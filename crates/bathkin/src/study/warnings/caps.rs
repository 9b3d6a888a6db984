//! Racks plated past a cap that only they have.

use crate::flag::Flag;
use crate::life::outlook::crossing;
use crate::life::{Life, Limit};
use crate::model::Model;
use crate::model::caps::is_of;
use bathkin_numerics::short;

impl Model {
    /// Racks that were plated past a cap of theirs which the rest of the work does not have.
    pub(crate) fn racks_past_their_caps(&self, life: &Life) -> Vec<Flag> {
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
