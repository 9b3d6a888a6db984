//! Specific ion interaction (SIT): what each pair of opposite ions adds to the activity coefficients.
//!
//! log10 g_i = -z_i² A √I/(1 + 1.5 √I) + sum_k eps_ik m_k, with eps = 0 between like charges and
//! for neutral substances; eps may change with ionic strength, eps = e1 + e2 log10 I.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | m_k | molality of ion k | mol/kg |
//! | eps_ik | interaction coefficient of the pair | kg/mol |
//! | A | Debye-Hückel slope at the temperature | (kg/mol)^½ |
//!
//! Source: Scatchard, Guggenheim; the form and the 1.5 as used by the NEA reviews. Good to an ionic
//! strength of about 4 mol/kg. An ion pair that has a coefficient must not be a species as well.

use super::chemistry::Chemistry;
use super::equilibrium::Equilibrium;
use super::speciation::{SMALLEST_SCALE, Speciation};
use crate::constants::{LN_10, REFERENCE_TEMPERATURE_K, WATER_MOLAR_MASS_G_MOL};

/// A coefficient as the constants file gives it.
#[derive(Debug, Clone, PartialEq)]
pub struct PairCoefficient {
    /// Formula of the cation.
    pub cation: String,
    /// Formula of the anion.
    pub anion: String,
    /// eps, or e1, kg/mol at 25 degC.
    pub epsilon_kg_mol: f64,
    /// e2, kg/mol per decade of ionic strength.
    pub epsilon_log_i_kg_mol: f64,
    /// Change of eps with temperature, kg/(mol K).
    pub temperature_slope_kg_mol_k: f64,
    /// Species that must not stand beside this coefficient.
    pub excludes_species: Vec<String>,
}

/// A pair resolved to two dissolved substances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair {
    pub(super) ions: [usize; 2],
    /// ln(10) times the coefficient.
    ln_epsilon: f64,
    ln_epsilon_log_i: f64,
    ln_slope_k: f64,
}

impl Pair {
    /// Resolves every coefficient whose two ions are among `formulas`.
    pub(super) fn resolve(chemistry: &Chemistry, formulas: &[&str]) -> Vec<Pair> {
        let find = |formula: &str| formulas.iter().position(|known| *known == formula);
        chemistry
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
            .collect()
    }

    /// ln(10) eps at a temperature and an ionic strength.
    pub(super) fn coefficient(&self, temperature_k: f64, log10_strength: f64) -> f64 {
        self.ln_epsilon
            + self.ln_slope_k * (temperature_k - REFERENCE_TEMPERATURE_K)
            + self.ln_epsilon_log_i * log10_strength
    }

    /// Derivative of the coefficient with respect to the ionic strength.
    pub(super) fn coefficient_slope(&self, ionic_strength: f64) -> f64 {
        self.ln_epsilon_log_i / (LN_10 * ionic_strength)
    }
}

/// ln of the water activity from the osmotic coefficient that goes with the equation above.
///
/// ln a_w = -M_w m phi, phi - 1 = ln(10)/m (-2A/1.5³ (x - 2 ln x - 1/x) + sum eps m_c m_a),
/// x = 1 + 1.5 √I, m the sum of all molalities. `pair_sum` is ln(10) sum (eps + ½ d eps/d ln I) m_c m_a.
fn ln_water_activity(debye_hueckel_a: f64, ionic_strength: f64, molalities: f64, pair_sum: f64) -> f64 {
    const B: f64 = 1.5;
    let x = 1.0 + B * ionic_strength.sqrt();
    let charges = -2.0 * debye_hueckel_a / B.powi(3) * (x - 2.0 * x.ln() - x.recip());
    -WATER_MOLAR_MASS_G_MOL * 1e-3 * (molalities + LN_10 * charges + pair_sum)
}

impl Speciation {
    /// Moves the interactions along with a step of the unknowns, to first order.
    pub(super) fn foretell_interactions(&mut self, chemistry: &Equilibrium, fraction: f64) {
        if chemistry.pairs.is_empty() {
            return;
        }
        let columns = self.spread.len() / self.interaction.len();
        let strength = self.step[chemistry.proton() + 1];
        for ((interaction, slope), row) in
            self.interaction.iter_mut().zip(&self.interaction_slope).zip(self.spread.chunks_exact(columns))
        {
            let through_ions: f64 = row.iter().zip(&self.step).map(|(spread, step)| spread * step).sum();
            *interaction -= fraction * (through_ions + slope * strength);
        }
    }

    /// Follows to first order how the last move of the interactions moves the formed species, and
    /// these the interactions, until nothing moves: the sum of a fast-falling series.
    pub(super) fn settle_interactions(&mut self, chemistry: &Equilibrium) {
        const SWEEPS: usize = 6;
        const SETTLED: f64 = 1e-13;
        let first = chemistry.proton() + 1;
        for (before, now) in self.before.iter_mut().zip(&self.interaction) {
            *before = now - *before;
        }
        for _ in 0..SWEEPS {
            self.moves.fill(0.0);
            for (number, species) in chemistry.formed.iter().enumerate() {
                let terms = &chemistry.terms[species.terms.clone()];
                let shift: f64 = terms.iter().map(|(k, nu)| nu * self.before[*k]).sum();
                self.moves[first + number] =
                    self.molalities[first + number] * (shift - self.before[first + number]);
            }
            self.before.fill(0.0);
            for (coefficient, pair) in self.coefficients.iter().zip(&chemistry.pairs) {
                let [cation, anion] = pair.ions;
                self.before[cation] += coefficient * self.moves[anion];
                self.before[anion] += coefficient * self.moves[cation];
            }
            let mut largest = 0.0_f64;
            for (interaction, move_) in self.interaction.iter_mut().zip(&self.before) {
                *interaction += move_;
                largest = largest.max(move_.abs());
            }
            if largest < SETTLED {
                break;
            }
        }
    }

    /// Interaction terms from the present molalities; returns how far the largest moved.
    pub(super) fn interact(&mut self, chemistry: &Equilibrium) -> f64 {
        if chemistry.pairs.is_empty() {
            return 0.0;
        }
        let strength = self.ionic_strength_mol_kg.max(SMALLEST_SCALE);
        let log10_strength = strength.log10();
        self.before.copy_from_slice(&self.interaction);
        self.interaction.fill(0.0);
        self.interaction_slope.fill(0.0);
        let mut pair_sum = 0.0;
        for (coefficient, pair) in self.coefficients.iter_mut().zip(&chemistry.pairs) {
            *coefficient = pair.coefficient(self.temperature_k, log10_strength);
            let slope = pair.coefficient_slope(strength);
            let [cation, anion] = pair.ions;
            let (m_cation, m_anion) = (self.molalities[cation], self.molalities[anion]);
            self.interaction[cation] += *coefficient * m_anion;
            self.interaction[anion] += *coefficient * m_cation;
            self.interaction_slope[cation] += slope * m_anion;
            self.interaction_slope[anion] += slope * m_cation;
            // What Gibbs and Duhem ask for a coefficient that moves with log I; exact for one salt.
            pair_sum += (*coefficient + 0.5 * slope * strength) * m_cation * m_anion;
        }
        let all: f64 = self.molalities.iter().sum();
        self.ln_water_activity = ln_water_activity(self.debye_hueckel_a, strength, all, pair_sum);
        self.interaction
            .iter()
            .zip(&self.before)
            .fold(0.0_f64, |most, (new, old)| most.max((new - old).abs()))
    }
}
