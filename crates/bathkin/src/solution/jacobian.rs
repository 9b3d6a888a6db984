//! The Jacobian of the equations of the equilibrium.
//!
//! The unknowns x are ln m_j of the free components, ln m_H, I, and where ions interact ln a_w and
//! ln m of the formed ions that the others feel. The molality of a formed species moves with all of
//! them through mass action,
//!
//! d ln m_s/dx = sum_j nu_sj (d ln m_j/dx + d ln g_j/dx) - d ln g_s/dx + nu_sw d ln a_w/dx,
//!
//! where d ln g_i/dx holds the charge effect of I and eps_ik m_k for each interacting ion k.

use super::equilibrium::Equilibrium;
use super::interaction::{WATER_KG_MOL, osmotic_charge_part};
use super::workspace::{Closure, SMALLEST_SCALE, Speciation, TRACE_MOL_KG};
use crate::constants::LN_10;

impl Speciation {
    /// The Jacobian of the scaled residuals, ready to be factored; formed ions above `felt_share` of
    /// the ionic strength are unknowns.
    pub(super) fn assemble(&mut self, chemistry: &Equilibrium, felt_share: f64) {
        self.choose_felt(chemistry, felt_share);
        let unknowns = chemistry.lasting_unknowns() + self.between.felt.len();
        self.fill_coefficient_rows(chemistry, unknowns);
        self.fill_formed_rows(chemistry, unknowns);
        self.fill_matrix(chemistry, unknowns);
    }

    /// d ln g / d unknown of every substance.
    fn fill_coefficient_rows(&mut self, chemistry: &Equilibrium, unknowns: usize) {
        let between = &self.between;
        let rows = &mut self.coefficient_rows[..chemistry.charges.len() * unknowns];
        rows.fill(0.0);
        for (substance, z) in chemistry.charges.iter().enumerate() {
            rows[substance * unknowns + chemistry.strength()] =
                between.shift_slope[substance] - z * z * self.charge_function_slope;
        }
        for (coefficient, pair) in between.coefficients.iter().zip(&chemistry.pairs) {
            for [to, from] in [pair.ions, [pair.ions[1], pair.ions[0]]] {
                if let Some(unknown) = between.unknown_of[from] {
                    rows[to * unknowns + unknown] += coefficient * between.acting[from];
                }
            }
        }
    }

    /// d ln m / d unknown of every formed species.
    fn fill_formed_rows(&mut self, chemistry: &Equilibrium, unknowns: usize) {
        let first = chemistry.first_formed();
        // Without interactions the coefficients move with the ionic strength alone.
        let moved = if chemistry.interacting() { 0 } else { chemistry.strength() };
        let rows = &self.coefficient_rows;
        for (number, species) in chemistry.formed.iter().enumerate() {
            let row = &mut self.formed_rows[number * unknowns..(number + 1) * unknowns];
            let of = |substance: usize| &rows[substance * unknowns + moved..(substance + 1) * unknowns];
            row[..moved].fill(0.0);
            for (value, own) in row[moved..].iter_mut().zip(of(first + number)) {
                *value = -own;
            }
            for (unknown, coefficient) in &chemistry.terms[species.terms.clone()] {
                add_scaled(&mut row[moved..], of(*unknown), *coefficient);
                row[*unknown] += coefficient;
            }
            if chemistry.interacting() {
                row[chemistry.water()] += species.water;
            }
        }
    }

    fn fill_matrix(&mut self, chemistry: &Equilibrium, n: usize) {
        let (proton, strength) = (chemistry.proton(), chemistry.strength());
        let first = chemistry.first_formed();
        // The global start works on a smaller system; resizing clears and does not allocate.
        self.lu.resize(n);
        let matrix = self.lu.matrix_mut();
        for unknown in 0..=proton {
            let (molality, z) = (self.molalities[unknown], chemistry.charges[unknown]);
            if unknown < proton {
                matrix[unknown * n + unknown] = molality;
            }
            matrix[proton * n + unknown] = z * molality;
            matrix[strength * n + unknown] = -0.5 * z * z * molality;
        }
        for (number, species) in chemistry.formed.iter().enumerate() {
            let molality = self.molalities[first + number];
            let moved = &self.formed_rows[number * n..(number + 1) * n];
            let z = species.charge;
            for (row, a) in &chemistry.terms[species.mass_terms.clone()] {
                add_scaled(&mut matrix[row * n..(row + 1) * n], moved, a * molality);
            }
            if z != 0.0 {
                add_scaled(&mut matrix[proton * n..(proton + 1) * n], moved, z * molality);
                add_scaled(&mut matrix[strength * n..(strength + 1) * n], moved, -0.5 * z * z * molality);
            }
        }
        matrix[strength * n + strength] += 1.0;
        if chemistry.interacting() {
            self.fill_water_and_felt(chemistry, n);
        }
        if self.closure != Closure::Electroneutral {
            self.hold_ph(chemistry, n);
        }
        let scale = self.strength_scale();
        let matrix = self.lu.matrix_mut();
        for (unknown, position) in chemistry.active.iter().enumerate() {
            let total = self.totals[*position].max(TRACE_MOL_KG);
            matrix[unknown * n..(unknown + 1) * n].iter_mut().for_each(|value| *value /= total);
        }
        if self.closure == Closure::Electroneutral {
            matrix[proton * n..(proton + 1) * n].iter_mut().for_each(|value| *value /= scale);
        }
        matrix[strength * n..(strength + 1) * n].iter_mut().for_each(|value| *value /= scale);
    }

    /// Rows of the water activity and of the ions whose molality is an unknown.
    fn fill_water_and_felt(&mut self, chemistry: &Equilibrium, n: usize) {
        let (water, first) = (chemistry.water(), chemistry.first_formed());
        let osmotic_slope =
            osmotic_charge_part(self.debye_hueckel_a, self.ionic_strength_mol_kg.max(SMALLEST_SCALE)).1;
        let interactions: f64 =
            self.molalities.iter().zip(&self.between.shift_slope).map(|(m, slope)| m * slope).sum();
        let with_strength = WATER_KG_MOL * (LN_10 * osmotic_slope + 0.5 * interactions);
        for unknown in 0..=chemistry.proton() {
            let weight = WATER_KG_MOL * self.molalities[unknown] * (1.0 + self.water_shift(unknown));
            self.lu.matrix_mut()[water * n + unknown] += weight;
        }
        for number in 0..chemistry.formed.len() {
            let weight =
                WATER_KG_MOL * self.molalities[first + number] * (1.0 + self.water_shift(first + number));
            let moved = &self.formed_rows[number * n..(number + 1) * n];
            add_scaled(&mut self.lu.matrix_mut()[water * n..(water + 1) * n], moved, weight);
        }
        let matrix = self.lu.matrix_mut();
        matrix[water * n + water] += 1.0;
        matrix[water * n + chemistry.strength()] += with_strength;
        for (number, row) in self.between.felt.iter().zip(chemistry.lasting_unknowns()..) {
            let moved = &self.formed_rows[number * n..(number + 1) * n];
            add_scaled(&mut matrix[row * n..(row + 1) * n], moved, -1.0);
            matrix[row * n + row] += 1.0;
        }
    }

    /// Puts the held pH in the place of electroneutrality: its row, and the ions of the acid or base
    /// in the ionic strength and the water activity.
    fn hold_ph(&mut self, chemistry: &Equilibrium, n: usize) {
        let (proton, strength) = (chemistry.proton(), chemistry.strength());
        let sign = self.net_charge.signum();
        let matrix = self.lu.matrix_mut();
        for column in 0..n {
            let charge = matrix[proton * n + column];
            matrix[strength * n + column] -= 0.5 * sign * charge;
            if chemistry.interacting() {
                matrix[chemistry.water() * n + column] += WATER_KG_MOL * sign * charge;
            }
            matrix[proton * n + column] = -self.coefficient_rows[proton * n + column];
        }
        matrix[proton * n + proton] -= 1.0;
    }
}

pub(super) fn add_scaled(target: &mut [f64], source: &[f64], factor: f64) {
    for (target, source) in target.iter_mut().zip(source) {
        *target += factor * source;
    }
}
