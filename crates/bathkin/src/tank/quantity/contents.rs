//! What the bath holds.

use super::entry::{Entry, Level, Name, Needs, Worse, never};

/// Total of a component.
pub(super) static COMPONENT_MOL_L: Entry = Entry {
    name: Name::Each("", |tank| tank.equilibrium.component_names().to_vec(), "_mol_l"),
    title: "{}",
    symbol: "{}",
    unit: "mol/L",
    definition: "Total of this component, all its forms together.",
    value: |at| at.row.totals_mol_l[at.member],
    // The by-product builds up; whether another component lacks or builds up, the limit says.
    worse: |tank, slot| if slot == tank.roles.by_product { Worse::Rising } else { Worse::Neither },
    needs: Needs::Nothing,
    level: Level::PerLitre,
    content: Some(|_, slot| (slot, 1.0)),
    ..Entry::PLAIN
};

/// Components, and what warnings call by the role.
pub(super) const COMPONENTS: &[&Entry] = &[
    &COMPONENT_MOL_L,
    &Entry {
        name: Name::One("metal_mol_l"),
        title: "metal",
        symbol: "metal",
        unit: "mol/L",
        definition: "Metal that is plated, all its forms together.",
        value: |at| at.row.totals_mol_l[at.tank.roles.metal],
        needs: Needs::Nothing,
        column: never,
        level: Level::PerLitre,
        content: Some(|tank, _| (tank.roles.metal, 1.0)),
        ..Entry::PLAIN
    },
    &Entry {
        name: Name::One("reductant_in_bath_per_metal_mol"),
        title: "reductant per metal",
        symbol: "reductant/metal",
        unit: "mol/mol",
        definition: "Reductant over metal in the bath.",
        value: |at| at.row.totals_mol_l[at.tank.roles.reductant] / at.row.totals_mol_l[at.tank.roles.metal],
        decimals: 2,
        needs: Needs::Nothing,
        column: never,
        warned_as: Some("reductant_per_metal_mol"),
        ..Entry::PLAIN
    },
];
