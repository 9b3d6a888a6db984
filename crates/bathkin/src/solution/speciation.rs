//! The equilibrium of a solution: which free concentrations satisfy every balance at once.
//!
//! Species form from components by mass action,
//!
//! ln c_s + ln g_s = ln K_s(T) + sum_j nu_sj (ln c_j + ln g_j),
//!
//! and the unknowns ln c_j, ln c_H and the ionic strength I solve
//!
//! - one mass balance per component, c_j + sum_s nu_sj c_s = T_j,
//! - electroneutrality, sum_i z_i c_i = 0 (it fixes the proton),
//! - the definition of I, I = ½ sum_i z_i² c_i.
//!
//! Newton's method with the analytic Jacobian, warm-started from the last solution; when it does
//! not converge within a few steps, [`super::global_start`] brings it close from anywhere.
//! The water activity is taken as one, and mol/L stand for the molal scale of the constants.

use bathkin_numerics::Lu;

use super::chemistry::PROTON;
use super::equilibrium::Equilibrium;
use super::global_start;
use crate::constants::LN_10;
use crate::error::{Error, Result};

/// Totals below this are solved as if they were this, mol/L: a logarithm needs something to hold.
pub const TRACE_MOL_L: f64 = 1e-14;

const CONVERGED: f64 = 1e-10;
/// The ionic strength of pure water, mol/L.
const SMALLEST_SCALE: f64 = 1e-7;
const LARGEST_STEP: f64 = 2.0;
const WARM_STEPS: usize = 12;
const POLISH_STEPS: usize = 40;

/// A solved solution, and at the same time the memory the next solve starts from.
#[derive(Debug, Clone)]
pub struct Speciation {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: f64,
    /// ln of the free concentration of the active components, then of the proton.
    pub(super) ln_free: Vec<f64>,
    /// Free concentrations of the active components, the proton, then the formed species, mol/L.
    pub(super) concentrations: Vec<f64>,
    pub(super) ln_k: Vec<f64>,
    pub(super) charge_function: f64,
    pub(super) lu: Lu,
    pub(super) sums: Vec<f64>,
    pub(super) step: Vec<f64>,
    pub(super) totals: Vec<f64>,
    debye_hueckel_a: f64,
    charge_function_slope: f64,
    solved: bool,
    /// Newton steps of the last solve.
    pub newton_steps: usize,
}

impl Speciation {
    /// Empty memory for an equilibrium, to be filled by [`Speciation::solve`].
    pub(super) fn empty(chemistry: &Equilibrium) -> Self {
        let unknowns = chemistry.active.len() + 2;
        Speciation {
            temperature_k: f64::NAN,
            ionic_strength_mol_l: 0.1,
            ln_free: vec![0.0; chemistry.active.len() + 1],
            concentrations: vec![0.0; chemistry.active.len() + 1 + chemistry.formed.len()],
            ln_k: vec![0.0; chemistry.formed.len()],
            charge_function: 0.0,
            charge_function_slope: 0.0,
            debye_hueckel_a: 0.0,
            lu: Lu::new(unknowns),
            sums: vec![0.0; unknowns],
            step: vec![0.0; unknowns],
            totals: vec![0.0; chemistry.component_names.len()],
            solved: false,
            newton_steps: 0,
        }
    }

    /// Solves for the totals (mol/L, in the order of [`Equilibrium::component_names`]).
    ///
    /// # Errors
    /// [`Error::Convergence`] naming the worst component.
    pub fn solve(&mut self, chemistry: &Equilibrium, totals: &[f64], temperature_k: f64) -> Result<()> {
        self.at_temperature(chemistry, temperature_k);
        let warm = self.solved;
        if warm {
            self.follow_totals(chemistry, totals);
        }
        self.totals.copy_from_slice(totals);
        if warm && self.newton(chemistry, WARM_STEPS) < CONVERGED {
            return Ok(());
        }
        self.solved = false;
        let mut residual = f64::INFINITY;
        global_start::begin(self, chemistry);
        for _ in 0..global_start::ROUNDS {
            global_start::approach(self, chemistry)?;
            let close = (self.ln_free.clone(), self.ionic_strength_mol_l);
            residual = self.newton(chemistry, POLISH_STEPS);
            if residual < CONVERGED {
                self.solved = true;
                return Ok(());
            }
            (self.ln_free, self.ionic_strength_mol_l) = close;
        }
        Err(Error::Convergence {
            what: "the equilibrium of the solution".to_owned(),
            time_h: None,
            residual,
            worst: self.worst(chemistry),
        })
    }

    /// pH = -log10 a(H+), on the activity scale.
    pub fn ph(&self) -> f64 {
        (self.charge_function - self.ln_free[self.ln_free.len() - 1]) / LN_10
    }

    /// Free concentration of a component, mol/L.
    pub fn free_mol_l(&self, chemistry: &Equilibrium, position: usize) -> f64 {
        match chemistry.active.iter().position(|a| *a == position) {
            Some(unknown) => self.concentrations[unknown],
            None => self.total(position),
        }
    }

    /// ln of the activity of a free component (concentration times coefficient).
    pub fn ln_activity(&self, chemistry: &Equilibrium, position: usize) -> f64 {
        let charge = chemistry.component_charges[position];
        self.free_mol_l(chemistry, position).max(TRACE_MOL_L).ln() - charge * charge * self.charge_function
    }

    /// Every dissolved substance with its concentration, mol/L: free components, proton, species.
    pub fn species<'a>(&'a self, chemistry: &'a Equilibrium) -> impl Iterator<Item = (&'a str, f64)> + 'a {
        let components = (0..chemistry.component_names.len()).map(move |position| {
            (chemistry.component_names[position].as_str(), self.free_mol_l(chemistry, position))
        });
        let proton = chemistry.proton();
        components.chain(std::iter::once((PROTON, self.concentrations[proton]))).chain(
            chemistry
                .species_names
                .iter()
                .zip(&self.concentrations[proton + 1..])
                .map(|(name, concentration)| (name.as_str(), *concentration)),
        )
    }

    /// d pH / d total for every component, L/mol, by the implicit function theorem.
    ///
    /// Adding a component alone leaves its charge to be balanced by protons; adding a reagent is
    /// the sum over what it gives.
    ///
    /// # Errors
    /// [`Error::Convergence`] when the Jacobian is singular.
    pub fn ph_slopes(&mut self, chemistry: &Equilibrium, slopes: &mut [f64]) -> Result<()> {
        let (proton, strength) = (chemistry.proton(), chemistry.proton() + 1);
        self.assemble(chemistry);
        self.lu.factor().map_err(|singular| self.singular(chemistry, singular.pivot))?;
        self.step.fill(0.0);
        self.step[proton] = -1.0 / LN_10;
        self.step[strength] = self.charge_function_slope / LN_10;
        self.lu.solve_transposed(&mut self.step);
        for (unknown, position) in chemistry.active.iter().enumerate() {
            slopes[*position] = self.step[unknown] / self.total(*position);
        }
        let charge = self.step[proton] / self.strength_scale();
        let ionic = self.step[strength] / self.strength_scale();
        for position in &chemistry.inert {
            let z = chemistry.component_charges[*position];
            slopes[*position] = -z * charge + 0.5 * z * z * ionic;
        }
        Ok(())
    }

    /// Buffer capacity: strong base (mol/L) per unit of pH, the usual beta.
    ///
    /// # Errors
    /// As [`Speciation::ph_slopes`].
    pub fn buffer_capacity_mol_l(&mut self, chemistry: &Equilibrium) -> Result<f64> {
        let proton = chemistry.proton();
        let mut slopes = vec![0.0; chemistry.component_names.len()];
        self.ph_slopes(chemistry, &mut slopes)?;
        // A strong base brings one positive charge and half a unit of z² to the ionic strength.
        let charge = self.step[proton] / self.strength_scale();
        let ionic = self.step[proton + 1] / self.strength_scale();
        Ok(1.0 / (0.5 * ionic - charge))
    }

    pub(super) fn total(&self, position: usize) -> f64 {
        self.totals[position].max(TRACE_MOL_L)
    }

    /// Residuals of the charge balance and of the ionic strength are measured against this.
    fn strength_scale(&self) -> f64 {
        self.ionic_strength_mol_l.max(SMALLEST_SCALE)
    }

    fn at_temperature(&mut self, chemistry: &Equilibrium, temperature_k: f64) {
        if self.temperature_k != temperature_k {
            self.temperature_k = temperature_k;
            self.debye_hueckel_a = chemistry.activity.slope_at(temperature_k);
            for (ln_k, species) in self.ln_k.iter_mut().zip(&chemistry.formed) {
                *ln_k = species.constant.ln_k(temperature_k);
            }
        }
    }

    /// The best guess after a change of totals: free concentrations move in proportion.
    fn follow_totals(&mut self, chemistry: &Equilibrium, totals: &[f64]) {
        for (unknown, position) in chemistry.active.iter().enumerate() {
            let (old, new) = (self.total(*position), totals[*position].max(TRACE_MOL_L));
            if old != new {
                self.ln_free[unknown] += (new / old).ln();
            }
        }
    }

    /// Newton's method; returns the largest scaled residual reached.
    fn newton(&mut self, chemistry: &Equilibrium, steps: usize) -> f64 {
        let strength = chemistry.proton() + 1;
        self.newton_steps = 0;
        loop {
            let residual = self.evaluate(chemistry);
            if residual < CONVERGED || self.newton_steps == steps || !residual.is_finite() {
                return residual;
            }
            self.assemble(chemistry);
            if self.lu.factor().is_err() {
                return f64::INFINITY;
            }
            self.step.copy_from_slice(&self.sums);
            self.lu.solve(&mut self.step);
            let longest = self.step[..strength].iter().fold(0.0_f64, |most, s| most.max(s.abs()));
            let fraction = if longest > LARGEST_STEP { LARGEST_STEP / longest } else { 1.0 };
            for (ln_free, step) in self.ln_free.iter_mut().zip(&self.step) {
                *ln_free -= fraction * step;
            }
            let moved = self.ionic_strength_mol_l - fraction * self.step[strength];
            self.ionic_strength_mol_l =
                moved.clamp(0.2 * self.ionic_strength_mol_l, 5.0 * self.ionic_strength_mol_l + 1e-9);
            self.newton_steps += 1;
        }
    }

    /// Concentrations at the present unknowns, scaled residuals into `sums`; returns the largest.
    fn evaluate(&mut self, chemistry: &Equilibrium) -> f64 {
        let (proton, strength) = (chemistry.proton(), chemistry.proton() + 1);
        (self.charge_function, self.charge_function_slope) =
            chemistry.activity.charge_function(self.debye_hueckel_a, self.ionic_strength_mol_l);
        self.sums.fill(0.0);
        let (mut charge, mut squares) = (0.0, 0.0);
        for unknown in 0..=proton {
            let concentration = self.ln_free[unknown].exp();
            let z = chemistry.unknown_charge(unknown);
            self.concentrations[unknown] = concentration;
            self.sums[unknown] += concentration;
            charge += z * concentration;
            squares += z * z * concentration;
        }
        self.form_species(chemistry);
        for (number, species) in chemistry.formed.iter().enumerate() {
            let concentration = self.concentrations[strength + number];
            for (unknown, coefficient) in &chemistry.terms[species.terms.clone()] {
                self.sums[*unknown] += coefficient * concentration;
            }
            charge += species.charge * concentration;
            squares += species.charge * species.charge * concentration;
        }
        charge += chemistry.inert_moment(self, |z| z);
        squares += chemistry.inert_moment(self, |z| z * z);
        for (unknown, position) in chemistry.active.iter().enumerate() {
            self.sums[unknown] = self.sums[unknown] / self.total(*position) - 1.0;
        }
        self.sums[proton] = charge / self.strength_scale();
        self.sums[strength] = (self.ionic_strength_mol_l - 0.5 * squares) / self.strength_scale();
        self.sums.iter().fold(0.0_f64, |most, r| if r.is_nan() { f64::NAN } else { most.max(r.abs()) })
    }

    /// Mass action: concentrations of the formed species from the free ones.
    pub(super) fn form_species(&mut self, chemistry: &Equilibrium) {
        let first = chemistry.proton() + 1;
        for (number, species) in chemistry.formed.iter().enumerate() {
            let mut ln_c = self.ln_k[number] - species.square_charge_change * self.charge_function;
            for (unknown, coefficient) in &chemistry.terms[species.terms.clone()] {
                ln_c += coefficient * self.ln_free[*unknown];
            }
            self.concentrations[first + number] = ln_c.exp();
        }
    }

    /// The Jacobian of the scaled residuals with respect to (ln free, I).
    fn assemble(&mut self, chemistry: &Equilibrium) {
        let (proton, strength) = (chemistry.proton(), chemistry.proton() + 1);
        let n = strength + 1;
        // The global start works on a smaller system; resizing clears and does not allocate.
        self.lu.resize(n);
        let matrix = self.lu.matrix_mut();
        for unknown in 0..=proton {
            let concentration = self.concentrations[unknown];
            let z = chemistry.unknown_charge(unknown);
            if unknown < proton {
                matrix[unknown * n + unknown] += concentration;
            }
            matrix[proton * n + unknown] += z * concentration;
            matrix[strength * n + unknown] -= 0.5 * z * z * concentration;
        }
        for (number, species) in chemistry.formed.iter().enumerate() {
            let concentration = self.concentrations[strength + number];
            let by_strength = -species.square_charge_change * self.charge_function_slope * concentration;
            let z = species.charge;
            let terms = &chemistry.terms[species.terms.clone()];
            for (row, a) in terms {
                if *row < proton {
                    for (column, b) in terms {
                        matrix[row * n + column] += a * b * concentration;
                    }
                    matrix[row * n + strength] += a * by_strength;
                }
            }
            for (column, b) in terms {
                matrix[proton * n + column] += z * b * concentration;
                matrix[strength * n + column] -= 0.5 * z * z * b * concentration;
            }
            matrix[proton * n + strength] += z * by_strength;
            matrix[strength * n + strength] -= 0.5 * z * z * by_strength;
        }
        matrix[strength * n + strength] += 1.0;
        let (totals, scale) = (&self.totals, self.ionic_strength_mol_l.max(SMALLEST_SCALE));
        for (row, values) in matrix.chunks_exact_mut(n).enumerate() {
            let divisor =
                chemistry.active.get(row).map_or(scale, |position| totals[*position].max(TRACE_MOL_L));
            values.iter_mut().for_each(|value| *value /= divisor);
        }
    }

    pub(super) fn worst(&self, chemistry: &Equilibrium) -> String {
        let worst = self.sums.iter().enumerate().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        worst.and_then(|(unknown, _)| chemistry.active.get(unknown)).map_or_else(
            || "the charge balance".to_owned(),
            |position| chemistry.component_names[*position].clone(),
        )
    }

    fn singular(&self, chemistry: &Equilibrium, pivot: usize) -> Error {
        let worst = chemistry.active.get(pivot).map(|p| chemistry.component_names[*p].clone());
        Error::Convergence {
            what: "the slope of the equilibrium".to_owned(),
            time_h: None,
            residual: f64::INFINITY,
            worst: worst.unwrap_or_else(|| "the charge balance".to_owned()),
        }
    }
}
