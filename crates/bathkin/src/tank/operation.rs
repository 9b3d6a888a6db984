//! The operation of a bath: what is plated in it, and what is done to it.
//!
//! Here belongs what somebody decides: temperature and set-points, the work and what it carries in and out, what is
//! bled, the solutions that are fed with the rules for them, and what they cost.

use std::collections::HashMap;

use super::cost::Cost;
use super::drag_out::DragOut;
use super::event::Event;
use super::feed::{Feed, Occasion};
use super::policy::{MetalPolicy, PhPolicy, Policies};
use super::replenisher::{METAL, PH, REDUCTANT, Replenisher};
use super::temperature::Programme;
use super::work::Work;

/// What the operator holds the bath to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetPoints {
    /// Metal, mol/L.
    pub metal_mol_l: f64,
    /// Reductant, mol/L.
    pub reductant_mol_l: f64,
    /// pH at the reading temperature.
    pub ph: f64,
    /// Temperature at which the pH is read, K.
    pub ph_temperature_k: f64,
}

/// What is plated in a bath and what is done to it.
#[derive(Debug, Clone)]
pub struct Operation {
    /// Temperature the bath works at, K.
    pub temperature_k: f64,
    /// How the temperature moves.
    pub programme: Programme,
    /// Set-points.
    pub set_points: SetPoints,
    /// The work that passes through.
    pub work: Work,
    /// Liquid carried out with the work.
    pub drag_out: DragOut,
    /// Liquid carried in with the work, L/m².
    pub drag_in_l_m2: f64,
    /// What is carried in, among [`Operation::replenishers`]; none when nothing is.
    pub drag_in: Option<usize>,
    /// What is declared to happen.
    pub events: Vec<Event>,
    /// Part of the bath bled off per turnover of plated metal.
    pub bleed_per_turnover: f64,
    /// Bath bled off steadily, L/h.
    pub bleed_l_h: f64,
    /// Time between fillings up with water by hand, s; none: nobody does.
    pub water_interval_s: Option<f64>,
    /// Solutions that enter the tank: metal, reductant, pH, and others.
    pub replenishers: Vec<Replenisher>,
    /// What calls for the others.
    pub feeds: Vec<Feed>,
    /// What the electrode reads above the pH, where a measured pH is followed ([`super::PhLine`]).
    pub electrode_ph: f64,
    /// When and how much to add.
    pub policies: Policies,
    /// Reagent in the pH corrector, g/L.
    pub ph_corrector_g_l: f64,
    /// Prices; none in a recipe without.
    pub cost: Option<Cost>,
}

impl Operation {
    /// True for a solution that comes in other than by doses: pumped, or carried in with the work.
    pub fn flows_in(&self, which: usize) -> bool {
        let metal = self.policies.metal == MetalPolicy::Continuous;
        let ph = self.policies.ph == PhPolicy::Continuous;
        let rides = || {
            self.occasions().any(|(solution, occasion)| solution == which && occasion.volume_l().is_none())
        };
        match which {
            METAL | REDUCTANT => metal,
            PH => ph,
            _ => self.drag_in == Some(which) || (metal && rides()),
        }
    }

    /// The solutions beyond metal, reductant and pH corrector, with the names their columns begin with.
    pub fn further_solutions(&self) -> impl Iterator<Item = (usize, String)> + '_ {
        let names: HashMap<usize, &str> =
            self.feeds.iter().map(|feed| (feed.solution, feed.name.as_str())).collect();
        (PH + 1..self.replenishers.len()).map(move |solution| {
            let own = || Feed::named(&self.replenishers[solution].name);
            (solution, names.get(&solution).map_or_else(own, |name| (*name).to_owned()))
        })
    }

    /// Every occasion with its solution, in the order they are numbered by.
    pub fn occasions(&self) -> impl Iterator<Item = (usize, Occasion)> + '_ {
        self.feeds.iter().flat_map(|feed| feed.occasions.iter().map(|occasion| (feed.solution, *occasion)))
    }
}
