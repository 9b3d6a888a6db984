//! What a shift asks for beside additions: water, and racks.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::SECONDS_PER_HOUR;
use crate::tank::{Balances, Load, Move, Racks, Volume, Work};

const SECONDS_PER_MINUTE: f64 = 60.0;
const DM2_PER_M2: f64 = 100.0;

/// Volumes of a shift as planned.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct ShiftVolumes {
    /// Working volume of the recipe, L.
    pub working_l: f64,
    /// Water made up, L; below zero at a held level that water had to leave.
    pub water_l: f64,
    /// Evaporated, L.
    pub evaporated_l: f64,
    /// Carried out with the work, L.
    pub dragged_out_l: f64,
    /// Bled off or taken out, L.
    pub bled_l: f64,
    /// Gone over the brim, L.
    pub overflowed_l: f64,
}

impl ShiftVolumes {
    /// What moved between two (scaled) states.
    pub(crate) fn between(balances: &Balances, from: &[f64], to: &[f64]) -> Self {
        let layout = balances.layout();
        let moved = |which: Volume| {
            let slot = layout.volume(which);
            (to[slot] - from[slot]) * layout.scale()[slot]
        };
        ShiftVolumes {
            working_l: balances.tank().plant.volume_l,
            water_l: moved(Volume::Water),
            evaporated_l: moved(Volume::Evaporated),
            dragged_out_l: moved(Volume::DraggedOut),
            bled_l: moved(Volume::Bled),
            overflowed_l: moved(Volume::Overflowed),
        }
    }
}

/// A rack of a shift.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ShiftRack {
    /// Hours from the start of the shift at which it goes in; 0 for one that is in the tank then.
    pub at_h: f64,
    /// Its name.
    pub rack: String,
    /// Time it stays from then, min.
    pub minutes: f64,
    /// Its area, dm².
    pub area_dm2: f64,
    /// What it is made of, where the calendar says.
    pub substrate: Option<String>,
}

/// The racks that go in during the hours of a shift, or are in the tank at its start.
pub(crate) fn racks(work: &Work, shift_h: f64) -> Vec<ShiftRack> {
    let Work::Loads(loads) = work else { return Vec::new() };
    let (loads, end_s) = (loads.racks(), shift_h * SECONDS_PER_HOUR);
    let mut coming = Racks::new(loads);
    let mut found = Vec::new();
    while coming.next_s() < end_s {
        let Some(moment) = coming.next_due(coming.next_s()) else { break };
        let load = &loads[moment.load];
        if moment.what == Move::In {
            found.push(ShiftRack {
                at_h: moment.time_s / SECONDS_PER_HOUR,
                rack: load.name.clone(),
                minutes: load.stay_s / SECONDS_PER_MINUTE,
                area_dm2: load.area_m2 * DM2_PER_M2,
                substrate: load.substrate.clone(),
            });
        }
    }
    found
}

/// The work as it is from a later clock time on, s, which becomes its zero: racks that are out by then are gone, those in the
/// tank stay for the rest of their time. Steady work is the same: a shift begins where its day does.
pub(crate) fn from_clock(work: &Work, clock_s: f64) -> Work {
    let Work::Loads(loads) = work else { return work.clone() };
    Work::Loads(crate::tank::Loads::new(
        loads.racks().iter().flat_map(|load| rest_of(load, clock_s)).collect(),
    ))
}

fn rest_of(load: &Load, clock_s: f64) -> Vec<Load> {
    let in_s = |visit: u32| load.in_s + f64::from(visit) * load.every_s - clock_s;
    let gone = if load.every_s > 0.0 {
        (((clock_s - load.stay_s - load.in_s) / load.every_s).floor() + 1.0).max(0.0)
    } else if in_s(0) + load.stay_s <= 0.0 {
        1.0
    } else {
        0.0
    };
    if gone >= f64::from(load.count) {
        return Vec::new();
    }
    let mut visit = gone as u32;
    let mut rest = Vec::new();
    while visit < load.count && in_s(visit) < 0.0 {
        rest.push(Load {
            in_s: 0.0,
            stay_s: load.stay_s + in_s(visit),
            induction_s: (load.induction_s + in_s(visit)).max(0.0),
            every_s: 0.0,
            count: 1,
            ..load.clone()
        });
        visit += 1;
    }
    if visit < load.count {
        rest.push(Load { in_s: in_s(visit), count: load.count - visit, ..load.clone() });
    }
    rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tank::Loads;

    fn load(in_h: f64, stay_h: f64, every_h: f64, count: u32) -> Load {
        Load {
            name: "rack".into(),
            area_m2: 0.5,
            weighed_g: None,
            in_s: in_h * SECONDS_PER_HOUR,
            stay_s: stay_h * SECONDS_PER_HOUR,
            every_s: every_h * SECONDS_PER_HOUR,
            count,
            substrate: None,
            induction_s: 0.0,
            drain_s: None,
        }
    }

    #[test]
    fn racks_from_a_later_hour() {
        // In at 1, 25, 49 h for 2 h each; another once at 23 h for 3 h; one that is out.
        let work = Work::Loads(Loads::new(vec![
            load(1.0, 2.0, 24.0, 3),
            load(23.0, 3.0, 0.0, 1),
            load(0.0, 1.0, 0.0, 1),
        ]));
        let seen: Vec<(f64, f64)> = racks(&from_clock(&work, 24.0 * SECONDS_PER_HOUR), 8.0)
            .iter()
            .map(|rack| (rack.at_h, rack.minutes))
            .collect();
        assert_eq!(seen, [(0.0, 120.0), (1.0, 120.0)]);
        // In the middle of the last visit, and after it.
        let seen = racks(&from_clock(&work, 50.5 * SECONDS_PER_HOUR), 8.0);
        assert_eq!((seen.len(), seen[0].minutes), (1, 30.0));
        assert!(racks(&from_clock(&work, 51.0 * SECONDS_PER_HOUR), 100.0).is_empty());
    }
}
