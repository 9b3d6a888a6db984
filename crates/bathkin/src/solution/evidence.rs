//! What is known about a constant: its source, its width, and what its enthalpy rests on.

use super::width::Width;
use crate::constants::{GAS_CONSTANT_J_MOL_K, LN_10, REFERENCE_TEMPERATURE_K};
use crate::source::{Kind, Source};

/// What is known about a formation constant.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// The label a recipe chooses it by; [`super::chemistry::DEFAULT_CONSTANT`] for the one used without a choice.
    pub label: String,
    /// Width of log10 K at 25 degC.
    pub log_k_width: Width,
    /// What the enthalpy rests on; none where a law has the temperature in it.
    pub enthalpy: Option<EnthalpyEvidence>,
    /// Source of the numbers.
    pub source: Source,
    /// Traps, and why this value rather than another, in words.
    pub note: Option<String>,
}

/// What an enthalpy rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct EnthalpyEvidence {
    /// Its own source; none where it has that of the constant.
    pub source: Option<Source>,
    /// No enthalpy was given: the constant of 25 degC is used at every temperature.
    pub missing: bool,
    /// Width, kJ/mol.
    pub width_kj_mol: Width,
}

impl EnthalpyEvidence {
    /// True for an estimate by analogy, and where there is none: what depends on it away from 25 degC is doubtful.
    pub fn is_guessed(&self) -> bool {
        self.missing || self.source.as_ref().is_some_and(|source| source.kind == Kind::Estimated)
    }

    /// How far one width moves log10 K at a temperature: s/(R ln 10) |1/T0 - 1/T|, T0 = 298.15 K.
    ///
    /// | symbol | meaning | unit |
    /// |---|---|---|
    /// | s | width of the enthalpy | J/mol |
    /// | T | temperature | K |
    pub fn log_k_width_at(&self, temperature_k: f64) -> f64 {
        let away = (1.0 / REFERENCE_TEMPERATURE_K - 1.0 / temperature_k).abs();
        self.width_kj_mol.value * 1e3 / (GAS_CONSTANT_J_MOL_K * LN_10) * away
    }
}
