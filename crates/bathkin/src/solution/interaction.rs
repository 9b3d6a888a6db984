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

use super::equilibrium::Equilibrium;
use super::workspace::{Closure, SMALLEST_SCALE, Speciation, TRACE_MOL_KG};
use crate::constants::{LN_10, WATER_MOLAR_MASS_G_MOL};

/// The charge part of the osmotic coefficient, m (phi - 1)/ln(10), and its derivative with I.
///
/// -2A/B³ (x - 2 ln x - 1/x), x = 1 + B √I, B = 1.5.
pub(super) fn osmotic_charge_part(debye_hueckel_a: f64, ionic_strength: f64) -> (f64, f64) {
    const B: f64 = 1.5;
    let root = ionic_strength.sqrt();
    let x = 1.0 + B * root;
    let value = -2.0 * debye_hueckel_a / B.powi(3) * (x - 2.0 * x.ln() - x.recip());
    (value, -debye_hueckel_a * root / (x * x))
}

/// kg/mol: moles of water in a kilogram, inverted.
pub(super) const WATER_KG_MOL: f64 = WATER_MOLAR_MASS_G_MOL * 1e-3;

impl Speciation {
    /// What the present molalities do to each other's activity coefficients.
    pub(super) fn interact(&mut self, chemistry: &Equilibrium) {
        if !chemistry.interacting() {
            return;
        }
        let strength = self.ionic_strength_mol_kg.max(SMALLEST_SCALE);
        let log10_strength = strength.log10();
        let first = chemistry.first_formed();
        let between = &mut self.between;
        between.acting.copy_from_slice(&self.molalities);
        between.exponentials.of(0, &between.ln_felt, &mut between.felt_acting);
        for (number, acting) in between.felt.iter().zip(&between.felt_acting) {
            between.acting[first + number] = *acting;
        }
        between.shift.fill(0.0);
        between.shift_slope.fill(0.0);
        let (moving, steady) = chemistry.pairs.split_at(chemistry.moving_pairs);
        let (values, steady_values) = between.coefficients.split_at_mut(chemistry.moving_pairs);
        for (pair, (value, at_one)) in moving.iter().zip(values.iter_mut().zip(&between.at_unit_strength)) {
            *value = at_one + pair.ln_epsilon_log_i * log10_strength;
            let slope = pair.ln_epsilon_log_i / (LN_10 * strength);
            let [cation, anion] = pair.ions;
            let (m_cation, m_anion) = (between.acting[cation], between.acting[anion]);
            between.shift[cation] += *value * m_anion;
            between.shift[anion] += *value * m_cation;
            between.shift_slope[cation] += slope * m_anion;
            between.shift_slope[anion] += slope * m_cation;
        }
        for (pair, value) in steady.iter().zip(&*steady_values) {
            let [cation, anion] = pair.ions;
            between.shift[cation] += value * between.acting[anion];
            between.shift[anion] += value * between.acting[cation];
        }
    }

    /// ln of the water activity from the osmotic coefficient that goes with the equation above.
    ///
    /// ln a_w = -M_w m phi, phi - 1 = ln(10)/m (-2A/1.5³ (x - 2 ln x - 1/x) + sum (eps + ½ d eps/d ln I) m_c m_a),
    /// x = 1 + 1.5 √I, m the sum of all molalities. The ½ d eps/d ln I is what Gibbs and Duhem ask of
    /// a coefficient that moves with log I; exact for one salt.
    pub(super) fn ln_water_activity_of(&self) -> f64 {
        let strength = self.ionic_strength_mol_kg.max(SMALLEST_SCALE);
        let charges = osmotic_charge_part(self.debye_hueckel_a, strength).0;
        let half_strength = 0.5 * strength;
        let shifts = self.between.shift.iter().zip(&self.between.shift_slope);
        let effect =
            |(m, (shift, slope)): (&f64, (&f64, &f64))| m * (1.0 + 0.5 * (shift + half_strength * slope));
        let mut all: f64 = self.molalities.iter().zip(shifts).map(effect).sum();
        if self.closure != Closure::Electroneutral {
            all += self.net_charge.abs();
        }
        -WATER_KG_MOL * (all + LN_10 * charges)
    }

    /// ln(10) sum (eps + ½ d eps/d ln I) m of a substance.
    #[inline]
    pub(super) fn water_shift(&self, substance: usize) -> f64 {
        let half_strength = 0.5 * self.ionic_strength_mol_kg.max(SMALLEST_SCALE);
        self.between.shift[substance] + half_strength * self.between.shift_slope[substance]
    }

    /// Chooses the formed ions whose molality becomes an unknown: those above a share of the ionic
    /// strength that interact with others. Needs molalities and interactions at the unknowns.
    pub(super) fn choose_felt(&mut self, chemistry: &Equilibrium, share: f64) {
        if !chemistry.interacting() {
            return;
        }
        let first = chemistry.first_formed();
        let least = share * self.strength_scale();
        let between = &mut self.between;
        between.felt.clear();
        between.ln_felt.clear();
        for (number, pairs) in chemistry.formed_pairs.iter().enumerate() {
            let acting = between.acting[first + number];
            let felt = *pairs && acting.max(self.molalities[first + number]) > least;
            between.unknown_of[first + number] = felt.then(|| {
                between.felt.push(number);
                between.ln_felt.push(acting.max(TRACE_MOL_KG).ln());
                chemistry.lasting_unknowns() + between.felt.len() - 1
            });
        }
        let sums = &mut self.sums[chemistry.lasting_unknowns()..];
        for (sum, (number, ln_felt)) in sums.iter_mut().zip(between.felt.iter().zip(&between.ln_felt)) {
            *sum = ln_felt - self.ln_formed[*number];
        }
    }
}
