//! What went in, came out and was laid down since make-up.

use super::entry::{Entry, Name};
use crate::tank::{METAL, PH, REDUCTANT, Volume};

/// Square metres of a dm²: work is priced by it.
const M2_PER_DM2: f64 = 0.01;

/// Thickness times area.
pub(super) static DEPOSIT_UM_DM2: Entry = Entry {
    name: Name::One("deposit_um_dm2"),
    title: "thickness times area plated",
    symbol: "S",
    unit: "um dm2",
    definition: "Thickness times area of all that was deposited since make-up, as work is priced.",
    value: |at| at.row.deposit.thickness_um(M2_PER_DM2),
    ..Entry::COUNT
};

/// Bath gone.
pub(super) static VOLUME_GONE_L: Entry = Entry {
    name: Name::One("volume_gone_l"),
    title: "bath gone",
    symbol: "V gone",
    unit: "L",
    definition: "Bath dragged out, bled and overflowed since make-up.",
    value: |at| {
        [Volume::DraggedOut, Volume::Bled, Volume::Overflowed].map(|which| at.row.volume(which)).iter().sum()
    },
    ..Entry::COUNT
};

/// Metal gone.
pub(super) static METAL_GONE_G: Entry = Entry {
    name: Name::One("metal_gone_g"),
    title: "{metal} gone",
    symbol: "metal gone",
    unit: "g",
    definition: "Metal dragged out, bled and overflowed since make-up.",
    value: |at| at.tank.metal_g_l(at.row.metal_gone_mol),
    ..Entry::COUNT
};

/// pH corrector fed.
pub(super) static PH_CORRECTOR_G_L: Entry = Entry {
    name: Name::One("ph_corrector_g_l"),
    title: "pH corrector fed",
    symbol: "pH corrector",
    unit: "g/L",
    definition: "Reagent fed to hold the pH since make-up, per litre of the make-up.",
    value: |at| at.row.fed_l[PH] / at.tank.volume_l * at.tank.ph_corrector_g_l,
    ..Entry::COUNT
};

/// Metal replenisher fed.
pub(super) static METAL_REPLENISHER_ML_L: Entry = Entry {
    name: Name::One("metal_replenisher_ml_l"),
    title: "metal replenisher fed",
    symbol: "metal replenisher",
    unit: "mL/L",
    definition: "Metal replenisher fed since make-up, per litre of the make-up.",
    value: |at| at.row.fed_l[METAL] / at.tank.volume_l * 1e3,
    ..Entry::COUNT
};

/// Reductant replenisher fed.
pub(super) static REDUCTANT_REPLENISHER_ML_L: Entry = Entry {
    name: Name::One("reductant_replenisher_ml_l"),
    title: "reductant replenisher fed",
    symbol: "reductant replenisher",
    unit: "mL/L",
    definition: "Reductant replenisher fed since make-up, per litre of the make-up.",
    value: |at| at.row.fed_l[REDUCTANT] / at.tank.volume_l * 1e3,
    ..Entry::COUNT
};

/// A further solution fed.
pub(super) static FURTHER_ML_L: Entry = Entry {
    name: Name::Each("", |tank| tank.further_solutions().map(|(_, name)| name).collect(), "_ml_l"),
    title: "{} fed",
    symbol: "{}",
    unit: "mL/L",
    definition: "This solution fed since make-up, per litre of the make-up.",
    value: |at| at.row.fed_l[PH + 1 + at.member] / at.tank.volume_l * 1e3,
    ..Entry::COUNT
};

/// What was fed of the three own solutions, and what it came to.
pub(super) const FED: &[&Entry] = &[
    &PH_CORRECTOR_G_L,
    &METAL_REPLENISHER_ML_L,
    &REDUCTANT_REPLENISHER_ML_L,
    &Entry {
        name: Name::One("deposit_g"),
        title: "mass of the deposit",
        symbol: "m",
        unit: "g",
        definition: "Mass of all that was deposited since make-up.",
        value: |at| at.row.deposit.mass_g,
        ..Entry::COUNT
    },
    &DEPOSIT_UM_DM2,
    &VOLUME_GONE_L,
    &METAL_GONE_G,
    &Entry {
        name: Name::One("hydrogen_l"),
        title: "hydrogen evolved",
        symbol: "V(H2)",
        unit: "L",
        definition: "Hydrogen evolved since make-up, at 25 degC and 1 atm.",
        value: |at| at.row.hydrogen_l,
        ..Entry::COUNT
    },
];

/// Volume of the bath.
pub(super) static VOLUME_L: Entry = Entry {
    name: Name::One("volume_l"),
    title: "volume of the bath",
    symbol: "V",
    unit: "L",
    definition: "Volume of the bath.",
    value: |at| at.row.volume_l(),
    counts: false,
    ..Entry::COUNT
};

/// Water evaporated.
pub(super) static EVAPORATED_L: Entry = Entry {
    name: Name::One("evaporated_l"),
    title: "water evaporated",
    symbol: "V evaporated",
    unit: "L",
    definition: "Water evaporated by the declared rate since make-up.",
    value: |at| at.row.volume(Volume::Evaporated),
    ..Entry::COUNT
};

/// Water added.
pub(super) static WATER_L: Entry = Entry {
    name: Name::One("water_l"),
    title: "water added",
    symbol: "V water",
    unit: "L",
    definition: "Water made up since make-up; negative at a held level that water had to leave.",
    value: |at| at.row.volume(Volume::Water),
    range: super::Range::Between(f64::MIN, f64::MAX, "a number"),
    ..Entry::COUNT
};

/// What was fed of further solutions, and volumes that add up: water and solutions in, four ways out.
pub(super) const VOLUMES: &[&Entry] = &[
    &FURTHER_ML_L,
    &VOLUME_L,
    &Entry {
        name: Name::One("drag_out_l"),
        title: "drag-out",
        symbol: "V drag-out",
        unit: "L",
        definition: "Bath carried out with the work since make-up.",
        value: |at| at.row.volume(Volume::DraggedOut),
        ..Entry::COUNT
    },
    &Entry {
        name: Name::One("bled_l"),
        title: "bath bled off",
        symbol: "V bled",
        unit: "L",
        definition: "Bath bled off or taken out since make-up.",
        value: |at| at.row.volume(Volume::Bled),
        ..Entry::COUNT
    },
    &Entry {
        name: Name::One("overflow_l"),
        title: "bath overflowed",
        symbol: "V overflow",
        unit: "L",
        definition: "Bath gone over the brim since make-up.",
        value: |at| at.row.volume(Volume::Overflowed),
        ..Entry::COUNT
    },
    &EVAPORATED_L,
    &WATER_L,
    &Entry {
        name: Name::One("solutions_l"),
        title: "solutions added",
        symbol: "V solutions",
        unit: "L",
        definition: "All solutions that came in since make-up, drag-in too.",
        value: |at| at.row.fed_l.iter().sum(),
        ..Entry::COUNT
    },
];
