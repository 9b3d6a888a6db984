//! The additions ledger.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::tank::{DoseUnit, Tank};

/// Name of water in the ledger.
pub const WATER: &str = "water";

/// One addition.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Addition {
    /// Clock time, h; of what a pump fed since its last line, that of the line.
    pub clock_h: f64,
    /// Turnovers by metal replenished, with this addition in.
    pub turnovers: f64,
    /// Which replenisher.
    pub replenisher: String,
    /// Volume, mL.
    pub volume_ml: f64,
    /// The same in the unit of the solution.
    pub dose: f64,
    /// That unit: `ml_l`, `pct_of_make_up` or `g_l`, each for the make-up volume.
    pub dose_unit: &'static str,
    /// Why.
    pub reason: String,
}

/// Every addition of a life. What a pump feeds is one line per turnover.
#[derive(Debug, Clone, Default, PartialEq, JsonSchema, Serialize)]
#[serde(transparent)]
pub struct Ledger {
    /// The additions, in order.
    pub additions: Vec<Addition>,
}

/// When an addition is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LedgerTime {
    /// Clock time, s.
    pub time_s: f64,
    /// Turnovers by metal replenished.
    pub turnovers: f64,
}

impl Ledger {
    /// Largest relative difference between the ledger and what was fed.
    const ALLOWED: f64 = 1e-9;

    /// Writes down an addition of a solution of the tank; nothing is written for a volume of zero.
    pub fn write(&mut self, at: LedgerTime, tank: &Tank, which: usize, volume_l: f64, reason: &str) {
        let replenisher = &tank.operation.replenishers[which];
        self.put(at, &replenisher.name, replenisher.dose_unit, tank.plant.volume_l, volume_l, reason);
    }

    /// Writes down water.
    pub fn write_water(&mut self, at: LedgerTime, tank: &Tank, volume_l: f64, reason: &str) {
        self.put(at, WATER, DoseUnit::default(), tank.plant.volume_l, volume_l, reason);
    }

    fn put(&mut self, at: LedgerTime, name: &str, unit: DoseUnit, bath_l: f64, volume_l: f64, reason: &str) {
        if volume_l > 0.0 {
            self.additions.push(Addition {
                clock_h: at.time_s / SECONDS_PER_HOUR,
                turnovers: at.turnovers,
                replenisher: name.to_owned(),
                volume_ml: volume_l * 1e3,
                dose: unit.of_volume(volume_l, bath_l),
                dose_unit: unit.name(),
                reason: reason.to_owned(),
            });
        }
    }

    /// Volume added from a replenisher, L.
    pub fn volume_l(&self, replenisher: &str) -> f64 {
        let of_it = self.additions.iter().filter(|addition| addition.replenisher == replenisher);
        of_it.map(|addition| addition.volume_ml * 1e-3).sum()
    }

    /// Holds the ledger against the volumes that went into the tank (name, L); solutions of one name
    /// count together.
    ///
    /// # Errors
    /// [`Error::Ledger`] for the first solution whose lines do not sum to what was fed.
    pub fn check(&self, fed_l: &[(&str, f64)]) -> Result<()> {
        for (name, _) in fed_l {
            let fed: f64 = fed_l.iter().filter(|(other, _)| other == name).map(|(_, volume)| volume).sum();
            let ledger = self.volume_l(name);
            if (ledger - fed).abs() > Self::ALLOWED * fed.abs().max(ledger) {
                return Err(Error::Ledger { solution: (*name).to_owned(), ledger_l: ledger, fed_l: fed });
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dose_without_its_line_is_an_error() {
        let mut ledger = Ledger::default();
        let at = LedgerTime { time_s: 3600.0, turnovers: 0.5 };
        for volume in [1.0, 2.5] {
            ledger.put(at, "metal", DoseUnit::default(), 400.0, volume, "metal low");
        }
        assert_eq!(ledger.additions[1].dose, 6.25);
        let fed = [("metal", 2.0), ("metal", 1.5), ("caustic", 0.0)];
        ledger.check(&fed).expect("the same");
        let error = ledger.check(&[("metal", 3.5), ("caustic", 0.1)]).expect_err("refused");
        let Error::Ledger { solution, ledger_l, fed_l } = &error else { panic!("{error}") };
        assert_eq!((solution.as_str(), *ledger_l, *fed_l), ("caustic", 0.0, 0.1));
        assert!(!error.is_input());
    }
}
