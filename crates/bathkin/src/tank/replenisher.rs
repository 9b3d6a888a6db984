//! Solutions that enter the tank.

/// Index of the metal replenisher in [`super::Operation::replenishers`].
pub const METAL: usize = 0;
/// Index of the reductant replenisher.
pub const REDUCTANT: usize = 1;
/// Index of the pH corrector.
pub const PH: usize = 2;

/// A named solution with its whole composition: an addition of nickel sulfate brings sulfate and
/// water too.
#[derive(Debug, Clone, PartialEq)]
pub struct Replenisher {
    /// Name for the ledger.
    pub name: String,
    /// Moles per litre of every slot of the liquid: components, proton, water.
    pub per_litre: Vec<f64>,
    /// True when the metal it brings counts towards turnovers: not that of a fresh fill or of drag-in.
    pub turns_over: bool,
    /// What its doses are told in.
    pub dose_unit: DoseUnit,
}

/// What the dose of a solution is told in, per litre of the make-up volume.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum DoseUnit {
    /// mL of the solution per litre of bath.
    #[default]
    MillilitresPerLitre,
    /// Percent of what the make-up holds of the component that the solution is for.
    PercentOfMakeUp {
        /// Percent that a litre per litre of bath brings.
        per_litre: f64,
    },
    /// Grams of the solution per litre of bath.
    GramsPerLitre {
        /// Density of the solution, g/mL.
        density_g_ml: f64,
    },
}

impl DoseUnit {
    /// Name, as in recipes and results.
    pub fn name(self) -> &'static str {
        match self {
            DoseUnit::MillilitresPerLitre => "ml_l",
            DoseUnit::PercentOfMakeUp { .. } => "pct_of_make_up",
            DoseUnit::GramsPerLitre { .. } => "g_l",
        }
    }

    /// Doses in this unit per litre of solution in a litre of bath.
    fn per_litre(self) -> f64 {
        const ML_PER_L: f64 = 1e3;
        match self {
            DoseUnit::MillilitresPerLitre => ML_PER_L,
            DoseUnit::PercentOfMakeUp { per_litre } => per_litre,
            DoseUnit::GramsPerLitre { density_g_ml } => ML_PER_L * density_g_ml,
        }
    }

    /// The dose that a volume is in a bath, both L.
    pub fn of_volume(self, volume_l: f64, bath_l: f64) -> f64 {
        volume_l / bath_l * self.per_litre()
    }

    /// The volume of a dose in a bath, L.
    pub fn volume_l(self, dose: f64, bath_l: f64) -> f64 {
        dose / self.per_litre() * bath_l
    }
}

impl Replenisher {
    /// A solution that counts by its volume and does not turn the bath over.
    pub fn plain(name: &str, per_litre: Vec<f64>) -> Self {
        Replenisher { name: name.to_owned(), per_litre, turns_over: false, dose_unit: DoseUnit::default() }
    }

    /// Volume that brings `moles` of the component in `slot`, L.
    pub fn volume_for(&self, slot: usize, moles: f64) -> f64 {
        moles / self.per_litre[slot]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dose_and_its_volume_are_the_same_thing() {
        let percent = DoseUnit::PercentOfMakeUp { per_litre: 100.0 / 0.06 };
        for (unit, dose) in [
            (DoseUnit::MillilitresPerLitre, 3.0),
            (percent, 5.0),
            (DoseUnit::GramsPerLitre { density_g_ml: 1.2 }, 3.6),
        ] {
            let volume = unit.volume_l(dose, 400.0);
            assert!((volume - 1.2).abs() < 1e-12, "{unit:?}: {volume}");
            assert!((unit.of_volume(volume, 400.0) - dose).abs() < 1e-12);
        }
    }
}
