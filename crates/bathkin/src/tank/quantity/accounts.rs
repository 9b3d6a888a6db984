//! What went in, came out and was laid down since make-up.

use super::entry::{Entry, Members};
use crate::tank::{METAL, PH, REDUCTANT, Volume};

/// Square metres of a dm²: work is priced by it.
const M2_PER_DM2: f64 = 0.01;

/// Thickness times area.
pub(super) static DEPOSIT_UM_DM2: Entry = Entry {
    definition: "Thickness times area of all that was deposited since make-up, as work is priced.",
    value: |at| at.row.deposit.thickness_um(M2_PER_DM2),
    ..Entry::count("deposit_um_dm2", "thickness times area plated", "S", "um dm2")
};

/// Bath gone.
pub(super) static VOLUME_GONE_L: Entry = Entry {
    definition: "Bath dragged out, bled and overflowed since make-up.",
    value: |at| {
        [Volume::DraggedOut, Volume::Bled, Volume::Overflowed].map(|which| at.row.volume(which)).iter().sum()
    },
    ..Entry::count("volume_gone_l", "bath gone", "V gone", "L")
};

/// Metal gone.
pub(super) static METAL_GONE_G: Entry = Entry {
    definition: "Metal dragged out, bled and overflowed since make-up.",
    value: |at| at.tank.bath.metal_g_l(at.row.metal_gone_mol),
    ..Entry::count("metal_gone_g", "{metal} gone", "metal gone", "g")
};

/// pH corrector fed.
pub(super) static PH_CORRECTOR_G_L: Entry = Entry {
    definition: "Reagent fed to hold the pH since make-up, per litre of the make-up.",
    value: |at| at.row.fed_l[PH] / at.tank.plant.volume_l * at.tank.operation.ph_corrector_g_l,
    ..Entry::count("ph_corrector_g_l", "pH corrector fed", "pH corrector", "g/L")
};

/// Metal replenisher fed.
pub(super) static METAL_REPLENISHER_ML_L: Entry = Entry {
    definition: "Metal replenisher fed since make-up, per litre of the make-up.",
    value: |at| at.row.fed_l[METAL] / at.tank.plant.volume_l * 1e3,
    ..Entry::count("metal_replenisher_ml_l", "metal replenisher fed", "metal replenisher", "mL/L")
};

/// Reductant replenisher fed.
pub(super) static REDUCTANT_REPLENISHER_ML_L: Entry = Entry {
    definition: "Reductant replenisher fed since make-up, per litre of the make-up.",
    value: |at| at.row.fed_l[REDUCTANT] / at.tank.plant.volume_l * 1e3,
    ..Entry::count("reductant_replenisher_ml_l", "reductant replenisher fed", "reductant replenisher", "mL/L")
};

/// A further solution fed.
pub(super) static FURTHER_ML_L: Entry = Entry {
    members: Members::Each(|tank| tank.operation.further_solutions().map(|(_, name)| name).collect()),
    definition: "This solution fed since make-up, per litre of the make-up.",
    value: |at| at.row.fed_l[PH + 1 + at.member] / at.tank.plant.volume_l * 1e3,
    ..Entry::count("{}_ml_l", "{} fed", "{}", "mL/L")
};

/// What was fed of the three own solutions, and what it came to.
pub(super) const FED: &[&Entry] = &[
    &PH_CORRECTOR_G_L,
    &METAL_REPLENISHER_ML_L,
    &REDUCTANT_REPLENISHER_ML_L,
    &Entry {
        definition: "Mass of all that was deposited since make-up.",
        value: |at| at.row.deposit.mass_g,
        ..Entry::count("deposit_g", "mass of the deposit", "m", "g")
    },
    &DEPOSIT_UM_DM2,
    &VOLUME_GONE_L,
    &METAL_GONE_G,
    &Entry {
        definition: "Hydrogen evolved since make-up, at 25 degC and 1 atm.",
        value: |at| at.row.hydrogen_l,
        ..Entry::count("hydrogen_l", "hydrogen evolved", "V(H2)", "L")
    },
];

/// Volume of the bath.
pub(super) static VOLUME_L: Entry = Entry {
    definition: "Volume of the bath.",
    value: |at| at.row.volume_l(),
    counts: false,
    spellings: &["volume", "bath_volume", "tank_volume", "solution_volume"],
    ..Entry::count("volume_l", "volume of the bath", "V", "L")
};

/// Water evaporated.
pub(super) static EVAPORATED_L: Entry = Entry {
    definition: "Water evaporated by the declared rate since make-up.",
    value: |at| at.row.volume(Volume::Evaporated),
    ..Entry::count("evaporated_l", "water evaporated", "V evaporated", "L")
};

/// Water added.
pub(super) static WATER_L: Entry = Entry {
    definition: "Water made up since make-up; negative at a held level that water had to leave.",
    value: |at| at.row.volume(Volume::Water),
    range: super::Range::Between(f64::MIN, f64::MAX, "a number"),
    ..Entry::count("water_l", "water added", "V water", "L")
};

/// What was fed of further solutions, and volumes that add up: water and solutions in, four ways out.
pub(super) const VOLUMES: &[&Entry] = &[
    &FURTHER_ML_L,
    &VOLUME_L,
    &Entry {
        definition: "Bath carried out with the work since make-up.",
        value: |at| at.row.volume(Volume::DraggedOut),
        ..Entry::count("drag_out_l", "drag-out", "V drag-out", "L")
    },
    &Entry {
        definition: "Bath bled off or taken out since make-up.",
        value: |at| at.row.volume(Volume::Bled),
        ..Entry::count("bled_l", "bath bled off", "V bled", "L")
    },
    &Entry {
        definition: "Bath gone over the brim since make-up.",
        value: |at| at.row.volume(Volume::Overflowed),
        ..Entry::count("overflow_l", "bath overflowed", "V overflow", "L")
    },
    &EVAPORATED_L,
    &WATER_L,
    &Entry {
        definition: "All solutions that came in since make-up, drag-in too.",
        value: |at| at.row.fed_l.iter().sum(),
        ..Entry::count("solutions_l", "solutions added", "V solutions", "L")
    },
];
