//! What the bath holds.

use crate::tank::Tank;

use super::entry::{Entry, Level, Members, Needs, Worse, never, rising};

/// Total of a component.
pub(super) static COMPONENT_MOL_L: Entry = Entry {
    members: Members::Each(|tank| tank.bath.equilibrium.component_names().to_vec()),
    definition: "Total of this component, all its forms together.",
    value: |at| at.row.totals_mol_l[at.member],
    // The by-product builds up; whether another component lacks or builds up, the limit says.
    worse: |tank, slot| if slot == tank.bath.roles.by_product { Worse::Rising } else { Worse::Neither },
    needs: Needs::Nothing,
    level: Level::PerLitre,
    content: Some(|_, slot| (slot, 1.0)),
    ..Entry::new("{}_mol_l", "{}", "{}", "mol/L")
};

/// Slot of a component.
fn slot(tank: &Tank, name: &str) -> Option<usize> {
    tank.bath.equilibrium.component_names().iter().position(|known| known == name)
}

/// Components, and what warnings call by the role.
pub(super) const COMPONENTS: &[&Entry] = &[
    &COMPONENT_MOL_L,
    &Entry {
        definition: "Metal that is plated, all its forms together.",
        value: |at| at.row.totals_mol_l[at.tank.bath.roles.metal],
        needs: Needs::Nothing,
        column: never,
        level: Level::PerLitre,
        content: Some(|tank, _| (tank.bath.roles.metal, 1.0)),
        ..Entry::new("metal_mol_l", "metal", "metal", "mol/L")
    },
    &Entry {
        definition: "Reductant over metal in the bath.",
        value: |at| {
            at.row.totals_mol_l[at.tank.bath.roles.reductant] / at.row.totals_mol_l[at.tank.bath.roles.metal]
        },
        decimals: 2,
        needs: Needs::Nothing,
        column: never,
        warned_as: Some("reductant_per_metal_mol"),
        ..Entry::new("reductant_in_bath_per_metal_mol", "reductant per metal", "reductant/metal", "mol/mol")
    },
    &Entry {
        members: Members::If(|tank| slot(tank, "sulfate").is_some()),
        definition: "Sodium sulfate that the lesser of sodium and sulfate in the bath makes, as Na2SO4.",
        value: |at| {
            let of = |name| {
                let held = |slot: usize| (at.row.totals_mol_l[slot], at.tank.bath.liquid_g_mol[slot]);
                slot(at.tank, name).map_or((0.0, 0.0), held)
            };
            let ((sodium, na_g_mol), (sulfate, so4_g_mol)) = (of("sodium"), of("sulfate"));
            sulfate.min(0.5 * sodium) * (2.0 * na_g_mol + so4_g_mol)
        },
        worse: rising,
        level: Level::PerLitre,
        needs: Needs::Nothing,
        ..Entry::new("sodium_sulfate_g_l", "sodium sulfate", "Na2SO4", "g/L")
    },
];
