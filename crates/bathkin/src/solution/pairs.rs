//! Coefficients of pairs of ions, resolved to the dissolved substances of one bath.

use super::chemistry::Chemistry;
use crate::constants::{LN_10, REFERENCE_TEMPERATURE_K};

/// A pair resolved to two dissolved substances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair {
    pub(super) ions: [usize; 2],
    /// ln(10) times the coefficient.
    ln_epsilon: f64,
    pub(super) ln_epsilon_log_i: f64,
    ln_slope_k: f64,
}

impl Pair {
    /// Resolves every coefficient whose two ions are among `formulas`; those that move with ionic
    /// strength come first.
    pub(super) fn resolve(chemistry: &Chemistry, formulas: &[&str]) -> Vec<Pair> {
        let find = |formula: &str| formulas.iter().position(|known| *known == formula);
        let mut pairs: Vec<Pair> = chemistry
            .interactions
            .iter()
            .filter_map(|pair| {
                Some(Pair {
                    ions: [find(&pair.cation)?, find(&pair.anion)?],
                    ln_epsilon: pair.epsilon_kg_mol * LN_10,
                    ln_epsilon_log_i: pair.epsilon_log_i_kg_mol * LN_10,
                    ln_slope_k: pair.temperature_slope_kg_mol_k * LN_10,
                })
            })
            .collect();
        pairs.sort_by_key(|pair| !pair.moves_with_strength());
        pairs
    }

    /// The coefficient depends on ionic strength.
    pub(super) fn moves_with_strength(&self) -> bool {
        self.ln_epsilon_log_i != 0.0
    }

    /// ln(10) eps at a temperature, at an ionic strength of 1 mol/kg.
    pub(super) fn coefficient(&self, temperature_k: f64) -> f64 {
        self.ln_epsilon + self.ln_slope_k * (temperature_k - REFERENCE_TEMPERATURE_K)
    }

    /// Derivative of the coefficient with respect to the temperature.
    pub(super) fn temperature_slope(&self) -> f64 {
        self.ln_slope_k
    }
}
