//! The additions ledger.

use serde::Serialize;

/// One addition.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Addition {
    /// Clock time, h.
    pub clock_h: f64,
    /// Which replenisher.
    pub replenisher: String,
    /// Volume, mL.
    pub volume_ml: f64,
    /// Why.
    pub reason: String,
}

/// Every addition of a life. What a pump feeds is one line per turnover.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Ledger {
    /// The additions, in order.
    pub additions: Vec<Addition>,
}

impl Ledger {
    /// Writes down an addition; nothing is written for a volume of zero.
    pub fn write(&mut self, clock_h: f64, replenisher: &str, volume_l: f64, reason: &str) {
        if volume_l > 0.0 {
            self.additions.push(Addition {
                clock_h,
                replenisher: replenisher.to_owned(),
                volume_ml: volume_l * 1e3,
                reason: reason.to_owned(),
            });
        }
    }

    /// Volume added from a replenisher, L.
    pub fn volume_l(&self, replenisher: &str) -> f64 {
        let of_it = self.additions.iter().filter(|addition| addition.replenisher == replenisher);
        of_it.map(|addition| addition.volume_ml * 1e-3).sum()
    }
}
