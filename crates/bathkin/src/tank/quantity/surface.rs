//! The surface: how fast it plates, and what.

use super::entry::{Entry, Name, Needs, Range, Share, UsualError, falling, rising};
use crate::constants::SECONDS_PER_HOUR;

/// Deposition rate.
pub(super) static DEPOSITION_UM_H: Entry = Entry {
    name: Name::One("deposition_um_h"),
    title: "deposition rate",
    symbol: "r",
    unit: "um/h",
    definition: "Deposition rate with metal and pH at their set-points; a log and a run have it as the bath stands.",
    value: |at| at.row.deposition_um_h,
    worse: falling,
    needs: Needs::Nothing,
    of_piece: Some(|piece| piece.thickness_um / piece.minutes * 60.0),
    share: Some(Share {
        key: "deposition_pct_of_fresh",
        whole: |_, fresh| fresh.growth_um_s * SECONDS_PER_HOUR,
    }),
    ..Entry::PLAIN
};

/// Alloying element in the deposit.
pub(super) static ALLOY_WT_PCT: Entry = Entry {
    name: Name::Each("", |tank| tank.alloy.iter().cloned().collect(), "_wt_pct"),
    title: "{} in the deposit",
    limit_title: Some("{}"),
    symbol: "w",
    unit: "wt%",
    definition: "Alloying element in what is being deposited with metal and pH at their set-points; a log has it as the \
                 bath stands.",
    value: |at| at.row.alloy_wt_pct,
    error: UsualError::Absolute(0.3, "common practice, no source"),
    range: Range::Between(0.0, 100.0, "a percentage between 0 and 100"),
    decimals: 2,
    needs: Needs::Nothing,
    ..Entry::PLAIN
};

/// In the order of the columns.
pub(super) const PLATING: &[&Entry] = &[
    &DEPOSITION_UM_H,
    &Entry {
        name: Name::One("deposition_now_um_h"),
        title: "deposition rate as the bath stands",
        symbol: "r now",
        unit: "um/h",
        definition: "Deposition rate with everything as it is at the moment, between two doses too.",
        value: |at| at.row.deposition_now_um_h,
        worse: falling,
        needs: Needs::Nothing,
        ..Entry::PLAIN
    },
    &ALLOY_WT_PCT,
    &Entry {
        name: Name::One("reductant_per_metal_mol"),
        title: "reductant used per metal",
        symbol: "n",
        unit: "mol/mol",
        definition: "Reductant used by the surface per metal plated, as the bath stands; reactions of the liquid use more.",
        value: |at| at.row.reductant_per_metal_mol,
        needs: Needs::Nothing,
        warned_as: Some("reductant_used_per_metal_mol"),
        ..Entry::PLAIN
    },
    &Entry {
        name: Name::If("minutes_to_thickness", |tank| tank.work.thickness_um().is_some()),
        title: "time to the thickness of the work",
        symbol: "t(d)",
        unit: "min",
        definition: "Time to plate work.thickness_um at the rate as the bath stands.",
        value: |at| at.tank.work.thickness_um().map_or(f64::NAN, |um| um / at.row.deposition_now_um_h * 60.0),
        worse: rising,
        needs: Needs::Nothing,
        range: Range::Positive,
        ..Entry::PLAIN
    },
];
