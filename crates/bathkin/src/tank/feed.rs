//! Solutions beyond metal, reductant and pH corrector, and what calls for them.

use std::collections::HashMap;

use super::{METAL, MetalPolicy, PH, PhPolicy, REDUCTANT, Tank};

/// A further solution of the tank.
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// Which of [`Tank::replenishers`].
    pub solution: usize,
    /// Name, as columns begin with it: `stabilizer`.
    pub name: String,
    /// What calls for it; several may, each by itself.
    pub occasions: Vec<Occasion>,
}

/// What calls for a solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Occasion {
    /// Rides with the metal solution, dose or pump.
    WithMetal {
        /// Litres per litre of metal solution.
        per_litre: f64,
    },
    /// Brings a component back to its make-up with each addition of metal; held by a pump when the metal is.
    Hold {
        /// Slot of the component.
        slot: usize,
        /// What it is held to, mol/L.
        set_point_mol_l: f64,
    },
    /// A dose by the clock.
    Clock {
        /// Time between doses, s; the first comes one interval after make-up.
        every_s: f64,
        /// The dose, L.
        volume_l: f64,
    },
    /// A dose by the metal plated.
    Turnovers {
        /// Turnovers of plated metal between doses.
        every: f64,
        /// The dose, L.
        volume_l: f64,
    },
    /// A dose by the area finished.
    Area {
        /// Area between doses, m².
        every_m2: f64,
        /// The dose, L.
        volume_l: f64,
    },
}

impl Feed {
    /// A name in letters, digits and underscores.
    pub fn named(name: &str) -> String {
        let safe =
            |letter: char| if letter.is_ascii_alphanumeric() { letter.to_ascii_lowercase() } else { '_' };
        name.chars().map(safe).collect()
    }
}

impl Occasion {
    /// Clock time between doses, s; infinite when the clock does not call for them.
    pub fn interval_s(self) -> f64 {
        if let Occasion::Clock { every_s, .. } = self { every_s } else { f64::INFINITY }
    }

    /// The dose of an occasion that has one, L.
    pub fn volume_l(self) -> Option<f64> {
        match self {
            Occasion::Clock { volume_l, .. }
            | Occasion::Turnovers { volume_l, .. }
            | Occasion::Area { volume_l, .. } => Some(volume_l),
            Occasion::WithMetal { .. } | Occasion::Hold { .. } => None,
        }
    }
}

impl Tank {
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

    /// What a component is brought back to, mol/L; `None` for one that nothing holds.
    pub fn content_set_point(&self, slot: usize) -> Option<f64> {
        let held = || {
            self.occasions().find_map(|(_, occasion)| match occasion {
                Occasion::Hold { slot: held, set_point_mol_l } if held == slot => Some(set_point_mol_l),
                _ => None,
            })
        };
        let own = [
            (self.roles.metal, self.set_points.metal_mol_l),
            (self.roles.reductant, self.set_points.reductant_mol_l),
        ];
        let found = own.into_iter().find(|(known, _)| *known == slot).map(|(_, set_point)| set_point);
        found.or_else(held).filter(|set_point| *set_point > 0.0)
    }

    /// Every occasion with its solution, in the order they are numbered by.
    pub fn occasions(&self) -> impl Iterator<Item = (usize, Occasion)> + '_ {
        self.feeds.iter().flat_map(|feed| feed.occasions.iter().map(|occasion| (feed.solution, *occasion)))
    }
}
