//! What is declared to happen to the bath beside plating and replenishment.

/// When a declared event happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum When {
    /// At a clock time, and again.
    Clock {
        /// First time, s.
        at_s: f64,
        /// Time between repeats, s; zero when it happens once.
        every_s: f64,
    },
    /// When so many turnovers of metal have been replenished, and again.
    Turnovers {
        /// First.
        at: f64,
        /// Turnovers between repeats; zero when it happens once.
        every: f64,
    },
}

/// An addition that belongs to an event.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dose {
    /// Which of [`super::Operation::replenishers`].
    pub solution: usize,
    /// Volume, L.
    pub volume_l: f64,
}

/// Something declared to happen to the bath.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Name, as in the recipe.
    pub name: String,
    /// When.
    pub when: When,
    /// How often at most.
    pub count: u32,
    /// Part of the bath taken out, 0 to 1.
    pub dumped: f64,
    /// Solution that fills up what was taken out; none: the level stays low (or water holds it).
    pub filled_with: Option<usize>,
    /// (slot of the liquid, part of it taken out by a treatment).
    pub removed: Vec<(usize, f64)>,
    /// Slot of the ion that goes with what is removed, so that the liquid stays neutral: protons when it
    /// leaves as an acid; what is exchanged against protons gives them.
    pub removed_with: usize,
    /// What is added.
    pub doses: Vec<Dose>,
    /// What somebody wrote down about it.
    pub note: Option<String>,
    /// True when what is added is not on the list of the bath: results after it are doubtful.
    pub unlisted: bool,
}

/// What is said of an addition that is not on the list of the bath.
pub const UNLISTED: &str = "unlisted addition; results after this time doubtful";

impl Event {
    /// What it does, in words, for the log of a life.
    pub fn words(&self, names: &[String]) -> String {
        let mut words = Vec::new();
        if self.dumped > 0.0 {
            words.push(format!("{} % of the bath taken out", rounded(100.0 * self.dumped)));
        }
        for (slot, part) in &self.removed {
            words.push(format!("{} % of {} removed", rounded(100.0 * part), names[*slot]));
        }
        for dose in &self.doses {
            words.push(format!("{} L added", rounded(dose.volume_l)));
        }
        words.extend(self.note.clone());
        if self.unlisted {
            words.push(UNLISTED.to_owned());
        }
        words.join("; ")
    }
}

/// To six digits, as it was written: 30, not 30.000000000000004.
fn rounded(value: f64) -> f64 {
    format!("{value:.5e}").parse().unwrap_or(value)
}
