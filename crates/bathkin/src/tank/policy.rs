//! When the operator adds, and how much.

/// When metal is added.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MetalPolicy {
    /// Pumped in as fast as it plates: the metal stays at its set-point.
    Continuous,
    /// Brought back to the set-point when it has fallen to a part of it.
    Threshold {
        /// Metal at which to add, as a part of the set-point.
        fraction: f64,
    },
    /// Brought back to the set-point at each analysis while work is in the tank.
    AtAnalysis {
        /// Time between analyses, s.
        interval_s: f64,
    },
}

/// How much reductant goes in with the metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReductantPolicy {
    /// What brings it back to its set-point, as a titration tells.
    Restore,
    /// A fixed number of moles per mole of metal added. If the bath uses another ratio, the
    /// reductant drifts.
    Ratio {
        /// Moles of reductant per mole of metal added.
        per_metal_mol: f64,
    },
}

/// How the pH is held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PhPolicy {
    /// Not at all.
    Off,
    /// A pump holds it at the set-point.
    Continuous,
    /// Brought back to the set-point when it has fallen by a dead band, and, if asked, with each
    /// addition of metal.
    DeadBand {
        /// Fall that calls for a correction, pH.
        width: f64,
        /// Correct with each addition of metal as well.
        with_additions: bool,
    },
}

/// The three together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Policies {
    /// Metal.
    pub metal: MetalPolicy,
    /// Reductant.
    pub reductant: ReductantPolicy,
    /// pH.
    pub ph: PhPolicy,
}

impl Policies {
    /// True when anything is pumped in continuously.
    pub fn pumps(&self) -> bool {
        self.metal == MetalPolicy::Continuous || self.ph == PhPolicy::Continuous
    }
}
