//! The liquid: what is analysed, and what its equilibrium tells.

use super::entry::{Entry, Level, Members, Needs, Range, Share, UsualError, falling, never, rising};
use crate::constants::ZERO_CELSIUS_K;
use crate::tank::readings::NAOH_G_MOL;

const PH_RANGE: Range = Range::Between(0.0, 14.0, "a pH between 0 and 14");
const PH_METER: UsualError = UsualError::Absolute(0.05, "common practice, no source");
const VOLTMETER: UsualError = UsualError::Absolute(0.005, "common practice, no source");
const POTENTIAL: Range = Range::Between(-2.0, 2.0, "a potential between -2 and 2 V");

/// pH.
pub(super) static PH: Entry = Entry {
    limit_title: Some("pH"),
    definition: "pH at the temperature of the bath; a limit judges it, and a log has it, as the operator reads it.",
    value: |at| if at.judged { at.row.working.ph_read } else { at.row.ph },
    error: PH_METER,
    range: PH_RANGE,
    decimals: 2,
    level: Level::Solved,
    needs: Needs::Nothing,
    ..Entry::new("ph", "pH in the bath", "pH", "")
};

/// Metal.
pub(super) static METAL_G_L: Entry = Entry {
    definition: "Metal that is plated, all its forms together.",
    value: |at| at.tank.bath.metal_g_l(at.row.totals_mol_l[at.tank.bath.roles.metal]),
    worse: falling,
    needs: Needs::Nothing,
    level: Level::PerLitre,
    content: Some(|tank, _| (tank.bath.roles.metal, tank.bath.metal_g_l(1.0))),
    share: Some(Share {
        key: "metal_pct_of_set_point",
        unit: "% of set-point",
        whole: |tank, _| tank.bath.metal_g_l(tank.operation.set_points.metal_mol_l),
    }),
    ..Entry::new("metal_g_l", "{metal}", "metal", "g/L")
};

/// pH of a cooled sample.
pub(super) static PH_25C: Entry = Entry {
    definition: "pH of a sample cooled to 25 degC.",
    value: |at| at.row.ph_25c,
    error: PH_METER,
    range: PH_RANGE,
    decimals: 2,
    needs: Needs::CooledSample,
    ..Entry::new("ph_25c", "pH of a sample at 25 degC", "pH(25 degC)", "")
};

/// What a shop analyses.
pub(super) const ANALYSED: &[&Entry] = &[
    &METAL_G_L,
    &Entry {
        definition: "Reductant, all its forms together.",
        value: |at| at.row.totals_mol_l[at.tank.bath.roles.reductant],
        worse: falling,
        needs: Needs::Nothing,
        level: Level::PerLitre,
        content: Some(|tank, _| (tank.bath.roles.reductant, 1.0)),
        share: Some(Share {
            key: "reductant_pct_of_set_point",
            unit: "% of set-point",
            whole: |tank, _| tank.operation.set_points.reductant_mol_l,
        }),
        ..Entry::new("reductant_mol_l", "reductant", "reductant", "mol/L")
    },
    &PH,
    &PH_25C,
];

/// What the equilibrium tells of every bath.
pub(super) const SOLVED: &[&Entry] = &[
    &Entry {
        definition: "Ions of the metal with water alone around them, as the bath stands.",
        value: |at| at.dissolved_mol_l(at.tank.bath.roles.metal),
        ..Entry::new("free_metal_mol_l", "free {metal}", "[M]", "mol/L")
    },
    &Entry {
        definition: "Half the sum of concentration times charge squared over all ions.",
        value: |at| {
            if at.judged { at.row.working.ionic_strength_mol_l } else { at.row.ionic_strength_mol_l }
        },
        worse: rising,
        range: Range::Positive,
        level: Level::Solved,
        share: Some(Share {
            key: "ionic_strength_pct_of_fresh",
            unit: "% of fresh",
            whole: |_, fresh| fresh.ionic_strength_mol_l,
        }),
        ..Entry::new("ionic_strength_mol_l", "ionic strength", "I", "mol/L")
    },
    &Entry {
        definition: "Mass of the liquid over that of as much water, both at 25 degC.",
        value: |at| if at.judged { at.row.working.specific_gravity } else { at.row.specific_gravity },
        worse: rising,
        error: UsualError::Absolute(0.005, "common practice, no source: a hydrometer"),
        range: Range::Between(1.0, 3.0, "a specific gravity between 1 and 3"),
        spellings: &["specific_gravity", "sg"],
        level: Level::Solved,
        ..Entry::new("specific_gravity", "specific gravity", "SG", "")
    },
    &Entry {
        definition: "Mass of all dissolved species but water.",
        value: |at| {
            at.row
                .dissolved_mol_l
                .iter()
                .zip(at.tank.bath.dissolved_g_mol.iter())
                .map(|(c, g_mol)| c * g_mol)
                .sum()
        },
        worse: rising,
        level: Level::PerLitre,
        ..Entry::new("total_salt_g_l", "total salt", "salt", "g/L")
    },
];

/// What some baths show, and what warnings look at.
pub(super) const FURTHER: &[&Entry] = &[
    &Entry {
        members: Members::If(|tank| tank.bath.hydroxide.is_some()),
        definition: "Free hydroxide as sodium hydroxide, in a bath controlled by free alkali, as the bath stands.",
        value: |at| at.tank.bath.hydroxide.map_or(f64::NAN, |place| at.dissolved_mol_l(place) * NAOH_G_MOL),
        ..Entry::new("free_naoh_g_l", "free NaOH", "NaOH", "g/L")
    },
    &Entry {
        members: Members::If(|tank| tank.bath.film.is_some()),
        definition: "pH behind the film before the surface, as the bath stands.",
        value: |at| at.row.surface_ph.unwrap_or(f64::NAN),
        error: PH_METER,
        range: PH_RANGE,
        decimals: 2,
        ..Entry::new("surface_ph", "pH at the surface", "pH(surface)", "")
    },
    &Entry {
        members: Members::If(|tank| tank.bath.kinetics.mixed_potential().is_some()),
        definition: "Potential at which the partial currents cancel, as the bath stands.",
        value: |at| at.row.potential_v_she.unwrap_or(f64::NAN),
        error: VOLTMETER,
        range: POTENTIAL,
        ..Entry::new("potential_v_she", "mixed potential", "E", "V SHE")
    },
    &Entry {
        members: Members::Each(|tank| tank.bath.solids.iter().map(|solid| solid.name.clone()).collect()),
        limit_title: Some("precipitation of {}"),
        definition: "Logarithm of the activity product over the solubility product, as the bath stands.",
        value: |at| at.row.saturation_index[at.member],
        worse: rising,
        range: Range::Between(-50.0, 50.0, "a saturation index between -50 and 50"),
        logarithmic: true,
        // The by-product is what builds up.
        column: |tank, solid| tank.bath.solids[solid].contains(tank.bath.roles.by_product),
        ..Entry::new("saturation_index_{}", "saturation index of {}", "SI", "SI")
    },
    &Entry {
        members: Members::If(|tank| tank.bath.decomposition.is_some()),
        definition: "What plates beside the work over what plates on it, as the bath stands.",
        // Where nothing plates on the work, what plates out is beyond any share of it.
        value: |at| at.row.plate_out_pct.unwrap_or(f64::INFINITY),
        worse: rising,
        ..Entry::new("plate_out_pct", "plate-out", "plate-out", "%")
    },
    &Entry {
        definition: "Temperature of the bath.",
        value: |at| at.row.temperature_k - ZERO_CELSIUS_K,
        error: UsualError::Absolute(0.5, "common practice, no source"),
        range: Range::Between(0.0, 100.0, "a temperature between 0 and 100 degC"),
        decimals: 2,
        needs: Needs::Nothing,
        column: |tank, _| !tank.operation.programme.is_constant(),
        spellings: &["temperature", "temp", "t", "bath_temperature", "bath_temp"],
        ..Entry::new("temperature_c", "temperature", "T", "degC")
    },
    &Entry {
        members: Members::If(|tank| tank.bath.has_oxide()),
        definition: "E(Cu+2/Cu2O) - E(Cu+2/Cu): above zero copper(I) oxide is what a reductant makes of the bath first.",
        value: |at| at.row.oxide_margin_v.unwrap_or(f64::NAN),
        worse: rising,
        error: VOLTMETER,
        range: POTENTIAL,
        column: never,
        ..Entry::new("oxide_margin_v", "copper(I) oxide's potential over the metal's", "E(Cu2O) - E(Cu)", "V")
    },
];
