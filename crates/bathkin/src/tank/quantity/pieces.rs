//! What is measured on a piece that was plated: a coupon, or what hung in the tank since the row before of a log.

use super::entry::{Entry, Needs, never};

/// Mass gained.
pub(super) static MASS_GAIN_MG: Entry = Entry {
    definition: "Mass gained by a coupon.",
    needs: Needs::Nothing,
    column: never,
    of_bath: false,
    of_piece: Some(|piece| piece.mass_g * 1e3),
    coupon_spellings: &["mass_gain", "weight_gain", "mass", "gain", "deposit_mass"],
    ..Entry::new("mass_gain_mg", "mass gained", "m", "mg")
};

/// Thickness.
pub(super) static THICKNESS_UM: Entry = Entry {
    definition: "Thickness of the deposit on a coupon, or on what hung in the tank since the row before of a log.",
    needs: Needs::Nothing,
    column: never,
    of_bath: false,
    of_piece: Some(|piece| piece.thickness_um),
    spellings: &["thickness", "deposit_thickness"],
    ..Entry::new("thickness_um", "thickness", "d", "um")
};

/// What only a piece tells.
pub(super) const OF_COUPONS: &[&Entry] = &[&MASS_GAIN_MG, &THICKNESS_UM];
