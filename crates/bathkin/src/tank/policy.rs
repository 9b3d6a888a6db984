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
    /// Brought back to the set-point by what each analysis says.
    AtAnalysis(Analysis),
}

/// How the bath is analysed for metal and reductant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Analysis {
    /// Time between samples, s.
    pub interval_s: f64,
    /// Time from the sample to the addition it calls for, s: meanwhile the bath goes on being used.
    pub delay_s: f64,
    /// Relative standard deviation of a result.
    pub relative_error: f64,
    /// Seed of the errors: the same seed gives the same ones.
    pub seed: u64,
}

impl Analysis {
    /// True when the addition is what the bath itself lacks.
    pub fn is_exact(&self) -> bool {
        self.delay_s == 0.0 && self.relative_error == 0.0
    }
}

/// When somebody is there to add.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hours {
    /// Day and night.
    #[default]
    Any,
    /// While work is in the tank; what falls due meanwhile is done, once, when work comes in.
    Worked,
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
    /// Brought back to the set-point at fixed times, and, if asked, with each addition of metal.
    Interval {
        /// Time between corrections, s.
        interval_s: f64,
        /// Correct with each addition of metal as well.
        with_additions: bool,
    },
}

impl PhPolicy {
    /// True when the pH is corrected with each addition of metal.
    pub fn with_additions(self) -> bool {
        matches!(
            self,
            PhPolicy::DeadBand { with_additions: true, .. } | PhPolicy::Interval { with_additions: true, .. }
        )
    }
}

/// All together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Policies {
    /// Metal.
    pub metal: MetalPolicy,
    /// Reductant.
    pub reductant: ReductantPolicy,
    /// pH.
    pub ph: PhPolicy,
    /// When somebody is there; pumps run at all hours.
    pub hours: Hours,
}

impl Policies {
    /// How the bath is analysed, when additions follow an analysis.
    pub fn analysis(&self) -> Option<Analysis> {
        if let MetalPolicy::AtAnalysis(analysis) = self.metal { Some(analysis) } else { None }
    }
}
