//! Roles of the components: `[role] COMPONENT = "complexant"`, or several, `["buffer", "accelerator"]`.
//!
//! What the recipe says comes first (`"none"` takes a role away), then a law: what it calls a stabilizer or an
//! accelerator is one. Else the component's own `role` in the constants holds. Metal, reductant and by-product
//! have no further role. A life, a plan and a comparison say when one with a role leaves 80 to 120 % of its
//! make-up, and a life shows its content.

use crate::document::Value;
use crate::document::reader::Reader;
use crate::error::Result;
use crate::model::fields::component;
use crate::model::laws_in_use::laws_of_surface;
use crate::model::slots::Slots;
use crate::solution::Role;
use crate::surface::{Concentration, Factor, FactorKind};
use crate::tank::Tank;

const TABLE: &str = "role";
const NONE: &str = "none";

/// The roles of every component, in the order of the totals.
pub(crate) fn read_roles(reader: &Reader, slots: &Slots, tank: &Tank) -> Result<Vec<Vec<Role>>> {
    let names = slots.names;
    let mut roles: Vec<Vec<Role>> = names
        .iter()
        .map(|name| {
            let index = slots.chemistry.component(name);
            index.map_or_else(Vec::new, |index| slots.chemistry.components[index].roles.clone())
        })
        .collect();
    for (slot, role) in by_law(tank) {
        if !roles[slot].contains(&role) {
            roles[slot].push(role);
        }
    }
    for name in reader.document().children(TABLE) {
        let path = format!("{TABLE}.{name}");
        component(reader, slots.chemistry, &path, &name)?;
        let said = roles_at(reader, &path)?.unwrap_or_default();
        // A component that a change has taken out of the bath keeps its line.
        if let Some(slot) = names.iter().position(|known| *known == name) {
            roles[slot] = said;
        }
    }
    for slot in [tank.bath.roles.metal, tank.bath.roles.reductant, tank.bath.roles.by_product] {
        roles[slot].clear();
    }
    Ok(roles)
}

/// The roles that a text or a list names, if it is there.
pub(crate) fn roles_at(reader: &Reader, path: &str) -> Result<Option<Vec<Role>>> {
    let names: Vec<&str> = match reader.entry(path).map(|entry| &entry.value) {
        None => return Ok(None),
        Some(Value::Text(text)) => text.split(',').map(str::trim).collect(),
        Some(Value::List(list)) => list.iter().map(String::as_str).collect(),
        Some(_) => return Err(reader.refuse(path, EXPECTED, None)),
    };
    if names == [NONE] {
        return Ok(Some(Vec::new()));
    }
    Role::parse_all(&names).map(Some).map_err(|name| {
        let hint = format!("'{name}' is no role");
        reader.refuse(path, EXPECTED, Some(hint))
    })
}

const EXPECTED: &str = "complexant, buffer, stabilizer, accelerator, several of them, or none";

/// What laws call a component of theirs. What speeds or slows a loss of the liquid is no accelerator or stabilizer of the bath.
fn by_law(tank: &Tank) -> Vec<(usize, Role)> {
    let names = laws_of_surface(tank).into_iter().flat_map(|law| &law.factors).flat_map(Factor::names);
    names
        .filter_map(|name| {
            let role = match name.kind {
                FactorKind::Stabilizer | FactorKind::Suppression => Role::Stabilizer,
                FactorKind::Accelerator => Role::Accelerator,
                _ => return None,
            };
            match name.of? {
                Concentration::Total(slot) => Some((slot, role)),
                Concentration::Dissolved(place) => {
                    (place < tank.bath.equilibrium.component_names().len()).then_some((place, role))
                }
            }
        })
        .collect()
}
