//! What the surface came to in a life that no bath is believed to do, and since when.

use schemars::JsonSchema;
use serde::Serialize;

use super::segment::STANDS_STILL_MOL_M2_S;
use crate::constants::SECONDS_PER_HOUR;
use crate::tank::{HeldOrder, Readings};

/// What was seen of the covered surface at every stop with work in the tank. Clock times are those of the first stop, h.
#[derive(Debug, Clone, Default, PartialEq, JsonSchema, Serialize)]
pub struct SurfaceStatus {
    /// Fastest deposition as the bath stood, um/h.
    pub fastest_um_h: f64,
    /// Clock time of the fastest, h.
    pub fastest_at_h: f64,
    /// Slowest deposition with metal and pH at their set-points, um/h.
    pub slowest_at_set_points_um_h: f64,
    /// Clock time of the slowest, h.
    pub slowest_at_h: f64,
    /// Most of the alloying element in what was deposited, wt%; zero of a pure metal.
    pub richest_alloy_wt_pct: f64,
    /// Clock time of the most, h.
    pub richest_at_h: f64,
    /// Hydrogen is taken up and not given off, from here on.
    pub hydrogen_taken_up_from_h: Option<f64>,
    /// The partial currents cancelled nowhere, so that nothing plated, from here on.
    pub no_potential_from_h: Option<f64>,
    /// Negative orders read at the lower end of their range, each as it was first seen, and since when, h.
    pub held_orders: Vec<(HeldOrder, f64)>,
}

impl SurfaceStatus {
    /// The surface in the fresh bath.
    pub fn fresh(readings: &Readings) -> Self {
        let slowest_at_set_points_um_h = readings.deposition_um_h;
        let mut status = SurfaceStatus { slowest_at_set_points_um_h, ..SurfaceStatus::default() };
        status.look(0.0, readings);
        status
    }

    /// Looks at the surface at a stop.
    pub fn look(&mut self, time_s: f64, readings: &Readings) {
        let time_h = time_s / SECONDS_PER_HOUR;
        if readings.deposition_now_um_h > self.fastest_um_h {
            (self.fastest_um_h, self.fastest_at_h) = (readings.deposition_now_um_h, time_h);
        }
        if readings.deposition_um_h < self.slowest_at_set_points_um_h {
            (self.slowest_at_set_points_um_h, self.slowest_at_h) = (readings.deposition_um_h, time_h);
        }
        // Where the work stops plating there is no composition to speak of.
        let plates = readings.metal_mol_m2_s > STANDS_STILL_MOL_M2_S;
        if plates && readings.alloy_now_wt_pct > self.richest_alloy_wt_pct {
            (self.richest_alloy_wt_pct, self.richest_at_h) = (readings.alloy_now_wt_pct, time_h);
        }
        if readings.hydrogen_mol_m2_s < 0.0 {
            self.hydrogen_taken_up_from_h.get_or_insert(time_h);
        }
        if readings.potential_v_she.is_some_and(f64::is_nan) {
            self.no_potential_from_h.get_or_insert(time_h);
        }
        for held in &readings.held_orders {
            let same = |(known, _): &(HeldOrder, f64)| {
                known.reaction == held.reaction && known.substance == held.substance
            };
            if !self.held_orders.iter().any(same) {
                self.held_orders.push((held.clone(), time_h));
            }
        }
    }
}
