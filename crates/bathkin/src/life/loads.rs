//! What each rack came out with.

use std::collections::HashMap;

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::SECONDS_PER_HOUR;
use crate::tank::{Balances, Load, RackTime};

/// A rack that has been in the tank.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct LoadRecord {
    /// Name.
    pub name: String,
    /// What it is made of, when the calendar says.
    pub substrate: Option<String>,
    /// Clock time of going in, h.
    pub in_h: f64,
    /// Clock time of coming out, h.
    pub out_h: f64,
    /// Area, dm².
    pub area_dm2: f64,
    /// Mean thickness, um.
    pub thickness_um: f64,
    /// Alloying element in it, wt%; zero of a pure metal.
    pub alloy_wt_pct: f64,
    /// Mass of the deposit, g.
    pub mass_g: f64,
    /// What it gained on a balance, g, when the calendar says.
    pub weighed_g: Option<f64>,
}

/// A rack in the tank.
#[derive(Debug)]
struct Inside {
    in_s: f64,
    /// Moles of each deposited element per m² plated when it started to plate; none before.
    at_start: Option<Vec<f64>>,
}

/// The racks in the tank, and those that have been.
#[derive(Debug, Default)]
pub struct LoadBook {
    /// By load and visit.
    inside: HashMap<(usize, u32), Inside>,
    /// Racks that came out.
    pub records: Vec<LoadRecord>,
}

impl LoadBook {
    /// A rack goes in.
    pub fn goes_in(&mut self, moment: &RackTime) {
        self.inside.insert((moment.load, moment.visit), Inside { in_s: moment.time_s, at_start: None });
    }

    /// A rack starts to plate.
    pub fn starts(&mut self, moment: &RackTime, balances: &Balances, state: &[f64]) {
        if let Some(rack) = self.inside.get_mut(&(moment.load, moment.visit)) {
            rack.at_start = Some(per_area(balances, state));
        }
    }

    /// A rack comes out: its record.
    pub fn comes_out(&mut self, moment: &RackTime, load: &Load, balances: &Balances, state: &[f64]) {
        let Some(Inside { in_s, at_start }) = self.inside.remove(&(moment.load, moment.visit)) else {
            return;
        };
        // A rack taken out before it started has got nothing.
        let end = per_area(balances, state);
        let start = at_start.unwrap_or_else(|| end.clone());
        let got: Vec<f64> = end.iter().zip(&start).map(|(end, start)| end - start).collect();
        let layer = balances.tank().bath.layer(&got);
        self.records.push(LoadRecord {
            name: load.name.clone(),
            substrate: load.substrate.clone(),
            in_h: in_s / SECONDS_PER_HOUR,
            out_h: moment.time_s / SECONDS_PER_HOUR,
            area_dm2: load.area_m2 * 100.0,
            thickness_um: layer.thickness_um(1.0),
            alloy_wt_pct: layer.alloy_wt_pct,
            mass_g: layer.mass_g * load.area_m2,
            weighed_g: load.weighed_g,
        });
    }
}

/// Moles of each deposited element per m² plated since make-up.
fn per_area(balances: &Balances, state: &[f64]) -> Vec<f64> {
    let layout = balances.layout();
    layout.deposited_per_area().map(|slot| state[slot] * layout.scale()[slot]).collect()
}
