//! Solutions beyond metal, reductant and pH corrector, and what calls for them.

/// A further solution of the tank.
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// Which of [`super::Operation::replenishers`].
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
