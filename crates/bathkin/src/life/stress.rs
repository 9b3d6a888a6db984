//! How the stress of the deposit stands over a life.

use crate::deposit::StressStatus;
use crate::deposit::stress::{nickel_boron, nickel_phosphorus};
use crate::solution::Element;
use crate::tank::{Readings, Tank};

/// Which way the stress tends, of deposits for which practice says so.
pub(super) fn status(tank: &Tank, fresh: &Readings, last: &Readings) -> Option<StressStatus> {
    if Some(tank.bath.deposited[tank.bath.metal_element]) != Element::new("Ni") {
        return None;
    }
    let of = |readings: &Readings| match tank.bath.alloy.as_deref() {
        Some("phosphorus") => Some(nickel_phosphorus(readings.alloy_wt_pct, readings.ionic_strength_mol_l)),
        Some("boron") => Some(nickel_boron()),
        _ => None,
    };
    Some(StressStatus { fresh: of(fresh)?, end: of(last)? })
}
