//! The surface: how fast it plates, and what.

use super::entry::{Entry, Members, Needs, Range, Share, UsualError, falling, rising};
use crate::constants::SECONDS_PER_HOUR;

/// Deposition rate.
pub(super) static DEPOSITION_UM_H: Entry = Entry {
    definition: "Deposition rate with metal and pH at their set-points; a log and a run have it as the bath stands.",
    value: |at| at.row.deposition_um_h,
    worse: falling,
    needs: Needs::Nothing,
    of_piece: Some(|piece| piece.thickness_um / piece.minutes * 60.0),
    spellings: &["deposition", "deposition_rate", "rate", "plating_rate", "growth"],
    share: Some(Share {
        key: "deposition_pct_of_fresh",
        unit: "% of fresh",
        whole: |_, fresh| fresh.growth_um_s * SECONDS_PER_HOUR,
    }),
    ..Entry::new("deposition_um_h", "deposition rate", "r", "um/h")
};

/// Alloying element in the deposit.
pub(super) static ALLOY_WT_PCT: Entry = Entry {
    members: Members::Each(|tank| tank.bath.alloy.iter().cloned().collect()),
    limit_title: Some("{}"),
    definition: "Alloying element in what is being deposited with metal and pH at their set-points; a log has it as the \
                 bath stands.",
    value: |at| at.row.alloy_wt_pct,
    error: UsualError::Absolute(0.3, "common practice, no source"),
    range: Range::Between(0.0, 100.0, "a percentage between 0 and 100"),
    decimals: 2,
    needs: Needs::Nothing,
    ..Entry::new("{}_wt_pct", "{} in the deposit", "w", "wt%")
};

/// In the order of the columns.
pub(super) const PLATING: &[&Entry] = &[
    &DEPOSITION_UM_H,
    &Entry {
        definition: "Deposition rate with everything as it is at the moment, between two doses too.",
        value: |at| at.row.deposition_now_um_h,
        worse: falling,
        needs: Needs::Nothing,
        ..Entry::new("deposition_now_um_h", "deposition rate as the bath stands", "r now", "um/h")
    },
    &ALLOY_WT_PCT,
    &Entry {
        definition: "Reductant used by the surface per metal plated, as the bath stands; reactions of the liquid use more.",
        value: |at| at.row.reductant_per_metal_mol,
        needs: Needs::Nothing,
        warned_as: Some("reductant_used_per_metal_mol"),
        ..Entry::new("reductant_per_metal_mol", "reductant used per metal", "n", "mol/mol")
    },
    &Entry {
        members: Members::If(|tank| tank.operation.work.thickness_um().is_some()),
        definition: "Time to plate work.thickness_um at the rate as the bath stands.",
        // A surface that dissolves never gets there.
        value: |at| {
            at.tank
                .operation
                .work
                .thickness_um()
                .map_or(f64::NAN, |um| um / at.row.deposition_now_um_h.max(0.0) * 60.0)
        },
        worse: rising,
        needs: Needs::Nothing,
        range: Range::Positive,
        ..Entry::new("minutes_to_thickness", "time to the thickness of the work", "t(d)", "min")
    },
];
