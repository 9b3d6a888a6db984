//! What a name says of the bath of a recipe.

use crate::model::Model;
use crate::model::substance::{Unclear, content};

/// How a share of the set-point is named.
pub const OF_SET_POINT: &str = "_pct_of_set_point";

impl Model {
    /// Metal, reductant and by-product of the bath, by name.
    pub fn own(&self) -> [&str; 3] {
        [&self.heading.metal, &self.heading.reductant, &self.heading.by_product].map(String::as_str)
    }

    /// Slot of the component a name means, and its moles per litre for one in the unit of the name; `None` for
    /// a name that is of no substance. `value` is the number at hand, for the readings of what is unclear.
    ///
    /// # Errors
    /// [`Unclear`] where the name may mean several amounts, or a component this bath does not hold.
    pub fn content(&self, name: &str, value: f64) -> Option<Result<(usize, f64), Unclear>> {
        let found = content(&self.chemistry, &self.own(), name, value)?;
        let held = self.tank.bath.equilibrium.component_names();
        Some(found.and_then(|content| {
            let component = &self.chemistry.components[content.component].name;
            let slot = held.iter().position(|known| known == component);
            slot.map(|slot| (slot, content.mol_l)).ok_or_else(|| Unclear {
                expected: format!("a component of this bath: {}", held.join(", ")),
                hint: format!("it holds no {component}"),
            })
        }))
    }

    /// The same, also of per cent of a set-point (`nickel_pct_of_set_point`): for one in that unit a hundredth of
    /// what the component is brought back to.
    ///
    /// # Errors
    /// As [`Model::content`]; [`Unclear`] for a component that nothing brings back.
    pub fn content_or_share(&self, name: &str, value: f64) -> Option<Result<(usize, f64), Unclear>> {
        const PERCENT: f64 = 1e-2;
        let Some(of) = name.strip_suffix(OF_SET_POINT) else { return self.content(name, value) };
        let found = self.content(&format!("{of}_mol_l"), 1.0)?;
        Some(found.and_then(|(slot, _)| {
            let component = &self.tank.bath.equilibrium.component_names()[slot];
            let set_point = self.tank.content_set_point(slot).ok_or_else(|| Unclear {
                expected: format!("an amount with its unit: {component} has no set-point in this recipe"),
                hint: format!("its amount is {component}_mol_l"),
            })?;
            Ok((slot, set_point * PERCENT))
        }))
    }
}
