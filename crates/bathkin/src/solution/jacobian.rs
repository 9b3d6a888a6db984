//! Derivatives of the equilibrium: the Jacobian of its equations, and what follows from it by the
//! implicit function theorem.
//!
//! The molality of a formed species moves with the unknowns directly, and through the activity
//! coefficients of every ion it forms from:
//!
//! d ln m_s = sum_j nu_sj (d ln m_j + d ln g_j) - d ln g_s.
//!
//! With interaction coefficients d ln g depends on all d ln m in turn; the fixed point is found by
//! repeated substitution, a few times for a Newton step, to the end for a derivative.

use super::equilibrium::Equilibrium;
use super::speciation::{Closure, Speciation, TRACE_MOL_KG};
use crate::constants::LN_10;
use crate::error::{Error, Result};

/// Ions below this share of the ionic strength are left out of the sensitivities they pass on.
const TRACE_SHARE: f64 = 1e-9;

impl Speciation {
    /// d pH / d total for every component, per unit of the totals, by the implicit function theorem.
    ///
    /// Adding a component alone leaves its charge to be balanced by protons; adding a reagent is
    /// the sum over what it gives.
    ///
    /// # Errors
    /// [`Error::Convergence`] when the Jacobian is singular.
    pub fn ph_slopes(&mut self, chemistry: &Equilibrium, slopes: &mut [f64]) -> Result<()> {
        self.solve_adjoint(chemistry)?;
        let (proton, columns) = (chemistry.proton(), self.columns(chemistry));
        let unknowns = proton + 2;
        for (unknown, position) in chemistry.active.iter().enumerate() {
            slopes[*position] = self.step[unknown] / self.total(*position);
        }
        for (number, position) in chemistry.inert.iter().enumerate() {
            let column = unknowns + number;
            let z = chemistry.component_charges[*position];
            let direct = -self.spread[proton * columns + column] / LN_10;
            slopes[*position] = direct - self.adjoint_of(chemistry, column, z);
        }
        // From per kilogram of water to per litre: what is added also takes the place of water.
        let toward_water: f64 = slopes.iter().zip(&self.totals).map(|(slope, total)| slope * total).sum();
        for (slope, water_slope) in slopes.iter_mut().zip(&self.water_slopes) {
            *slope = (*slope - toward_water * water_slope) / self.water_kg_l;
        }
        Ok(())
    }

    /// Buffer capacity: strong base, mol per unit of the totals, per unit of pH; the usual beta. The
    /// base is taken as an ideal cation of charge one.
    ///
    /// # Errors
    /// As [`Speciation::ph_slopes`].
    pub fn buffer_capacity_mol_l(&mut self, chemistry: &Equilibrium) -> Result<f64> {
        self.solve_adjoint(chemistry)?;
        let (proton, scale) = (chemistry.proton(), self.strength_scale());
        let per_base = (0.5 * self.step[proton + 1] - self.step[proton]) / scale;
        Ok(self.water_kg_l / per_base)
    }

    /// Solves the transposed system for d pH / d residual, into `step`.
    fn solve_adjoint(&mut self, chemistry: &Equilibrium) -> Result<()> {
        const SWEEPS: usize = 60;
        // Slopes are those of a solution left to itself, also after its pH was held.
        self.closed_by(Closure::Electroneutral);
        let (proton, strength) = (chemistry.proton(), chemistry.proton() + 1);
        self.sensitivities(chemistry, SWEEPS);
        self.fill_matrix(chemistry);
        self.lu.factor().map_err(|singular| Error::Convergence {
            what: "the slope of the equilibrium".to_owned(),
            time_h: None,
            residual: f64::INFINITY,
            worst: self.unknown_name(chemistry, singular.pivot),
        })?;
        self.factored = true;
        let row = proton * self.columns(chemistry);
        for (unknown, value) in self.step.iter_mut().enumerate() {
            *value = -self.spread[row + unknown] / LN_10;
        }
        self.step[proton] -= 1.0 / LN_10;
        self.step[strength] += (self.charge_function_slope - self.interaction_slope[proton]) / LN_10;
        self.lu.solve_transposed(&mut self.step);
        Ok(())
    }

    /// The adjoint times d residual / d molality of an inert component of charge `z`.
    fn adjoint_of(&self, chemistry: &Equilibrium, column: usize, z: f64) -> f64 {
        let (proton, columns) = (chemistry.proton(), self.columns(chemistry));
        let (mut charge, mut squares) = (z, z * z);
        let mut sum = 0.0;
        for (number, species) in chemistry.formed.iter().enumerate() {
            let substance = proton + 1 + number;
            let moved = self.molalities[substance] * self.sensitivity[substance * columns + column];
            charge += species.charge * moved;
            squares += species.charge * species.charge * moved;
            for (unknown, coefficient) in &chemistry.terms[species.terms.clone()] {
                if let Some(position) = chemistry.active.get(*unknown) {
                    sum += self.step[*unknown] * coefficient * moved / self.total(*position);
                }
            }
        }
        sum + (self.step[proton] * charge - 0.5 * self.step[proton + 1] * squares) / self.strength_scale()
    }

    /// The Jacobian of the scaled residuals with respect to (ln free, I), ready to be factored.
    pub(super) fn assemble(&mut self, chemistry: &Equilibrium) {
        const SWEEPS: usize = 3;
        self.sensitivities(chemistry, SWEEPS);
        self.fill_matrix(chemistry);
    }

    fn columns(&self, chemistry: &Equilibrium) -> usize {
        chemistry.proton() + 2 + chemistry.inert.len()
    }

    /// d ln m of every substance with respect to the unknowns and the inert molalities; `spread`
    /// holds the part that goes through the interactions.
    fn sensitivities(&mut self, chemistry: &Equilibrium, sweeps: usize) {
        const SETTLED: f64 = 1e-14;
        let columns = self.columns(chemistry);
        self.form_sensitivities(chemistry, columns, false);
        if chemistry.pairs.is_empty() {
            return;
        }
        let (proton, unknowns) = (chemistry.proton(), chemistry.proton() + 2);
        for unknown in 0..=proton {
            self.sensitivity[unknown * columns + unknown] = 1.0;
        }
        for number in 0..chemistry.inert.len() {
            let substance = chemistry.first_inert() + number;
            let molality = self.molalities[substance].max(TRACE_MOL_KG);
            self.sensitivity[substance * columns + unknowns + number] = 1.0 / molality;
        }
        // What there is next to nothing of moves nobody's activity coefficient.
        let traces = TRACE_SHARE * self.ionic_strength_mol_kg;
        for _ in 0..sweeps {
            self.spread.fill(0.0);
            for (coefficient, pair) in self.coefficients.iter().zip(&chemistry.pairs) {
                for [to, from] in [pair.ions, [pair.ions[1], pair.ions[0]]] {
                    if self.molalities[from] < traces {
                        continue;
                    }
                    let source = &self.sensitivity[from * columns..(from + 1) * columns];
                    let target = &mut self.spread[to * columns..(to + 1) * columns];
                    add_scaled(target, source, coefficient * self.molalities[from]);
                }
            }
            if self.form_sensitivities(chemistry, columns, true) < SETTLED {
                break;
            }
        }
    }

    /// Rows of the formed species from those they form from; returns the largest change.
    fn form_sensitivities(&mut self, chemistry: &Equilibrium, columns: usize, interacting: bool) -> f64 {
        let (first, strength) = (chemistry.proton() + 1, chemistry.proton() + 1);
        let mut largest = 0.0_f64;
        for (number, species) in chemistry.formed.iter().enumerate() {
            let substance = first + number;
            let terms = &chemistry.terms[species.terms.clone()];
            let row = &mut self.step_row[..columns];
            row.fill(0.0);
            row[strength] = -species.square_charge_change * self.charge_function_slope;
            for (unknown, coefficient) in terms {
                row[*unknown] += coefficient;
            }
            if interacting {
                row[strength] -= self.interaction_slope[substance];
                add_scaled(row, &self.spread[substance * columns..(substance + 1) * columns], -1.0);
                for (unknown, coefficient) in terms {
                    row[strength] += coefficient * self.interaction_slope[*unknown];
                    add_scaled(row, &self.spread[unknown * columns..(unknown + 1) * columns], *coefficient);
                }
            }
            let old = &mut self.sensitivity[substance * columns..(substance + 1) * columns];
            if interacting {
                largest =
                    row.iter().zip(old.iter()).fold(largest, |most, (new, old)| most.max((new - old).abs()));
            }
            old.copy_from_slice(row);
        }
        largest
    }

    fn fill_matrix(&mut self, chemistry: &Equilibrium) {
        let (proton, strength) = (chemistry.proton(), chemistry.proton() + 1);
        let (n, columns) = (strength + 1, self.columns(chemistry));
        // The global start works on a smaller system; resizing clears and does not allocate.
        self.lu.resize(n);
        let matrix = self.lu.matrix_mut();
        for unknown in 0..=proton {
            let molality = self.molalities[unknown];
            let z = chemistry.charges[unknown];
            if unknown < proton {
                matrix[unknown * n + unknown] += molality;
            }
            matrix[proton * n + unknown] += z * molality;
            matrix[strength * n + unknown] -= 0.5 * z * z * molality;
        }
        for (number, species) in chemistry.formed.iter().enumerate() {
            let substance = strength + number;
            let molality = self.molalities[substance];
            let moved = &self.sensitivity[substance * columns..substance * columns + n];
            let z = species.charge;
            for (row, a) in &chemistry.terms[species.terms.clone()] {
                if *row < proton {
                    add_scaled(&mut matrix[row * n..(row + 1) * n], moved, a * molality);
                }
            }
            if z != 0.0 {
                add_scaled(&mut matrix[proton * n..(proton + 1) * n], moved, z * molality);
                add_scaled(&mut matrix[strength * n..(strength + 1) * n], moved, -0.5 * z * z * molality);
            }
        }
        matrix[strength * n + strength] += 1.0;
        if self.closure != Closure::Electroneutral {
            self.hold_ph(n, columns, proton);
        }
        let matrix = self.lu.matrix_mut();
        let (totals, scale) = (&self.totals, self.ionic_strength_mol_kg.max(1e-7));
        for (row, values) in matrix.chunks_exact_mut(n).enumerate() {
            if row == proton && self.closure != Closure::Electroneutral {
                continue;
            }
            let divisor =
                chemistry.active.get(row).map_or(scale, |position| totals[*position].max(TRACE_MOL_KG));
            values.iter_mut().for_each(|value| *value /= divisor);
        }
    }
}

impl Speciation {
    /// Puts the held pH in the place of electroneutrality: its row, and the ions of the acid or base
    /// in the ionic strength.
    fn hold_ph(&mut self, n: usize, columns: usize, proton: usize) {
        let strength = proton + 1;
        let sign = self.net_charge.signum();
        let matrix = self.lu.matrix_mut();
        for column in 0..n {
            matrix[strength * n + column] -= 0.5 * sign * matrix[proton * n + column];
            let through_ions = self.spread[proton * columns + column];
            matrix[proton * n + column] = -through_ions;
        }
        matrix[proton * n + proton] -= 1.0;
        matrix[proton * n + strength] += self.charge_function_slope - self.interaction_slope[proton];
    }
}

fn add_scaled(target: &mut [f64], source: &[f64], factor: f64) {
    for (target, source) in target.iter_mut().zip(source) {
        *target += factor * source;
    }
}
