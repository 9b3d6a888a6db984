//! Solutions that enter the tank.

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
}

impl Replenisher {
    /// Volume that brings `moles` of the component in `slot`, L.
    pub fn volume_for(&self, slot: usize, moles: f64) -> f64 {
        moles / self.per_litre[slot]
    }
}
