//! The equilibrium of a solution: which free concentrations satisfy every balance at once.
//!
//! Species form from components by mass action,
//!
//! ln m_s + ln g_s = ln K_s(T) + sum_j nu_sj (ln m_j + ln g_j) + nu_sw ln a_w,
//!
//! and the unknowns ln m_j, ln m_H and the ionic strength I solve
//!
//! - one mass balance per component, m_j + sum_s nu_sj m_s = T_j,
//! - electroneutrality, sum_i z_i m_i = 0 (it fixes the proton),
//! - the definition of I, I = ½ sum_i z_i² m_i.
//!
//! Where ions interact in pairs ([`super::interaction`]), the ln of the water activity and of the
//! molality of every formed ion that the others feel are unknowns as well: what an ion is made of and
//! what it does to the others are then one linear step, however strong the coupling.
//!
//! Molalities inside; totals and answers are per litre when the equilibrium knows the volumes of
//! its components. Newton's method (`newton.rs`) with the analytic Jacobian (`jacobian.rs`) starts
//! from the last solution; when it does not converge within a few steps, [`super::global_start`]
//! brings it close from anywhere.

use super::workspace::{Closure, Speciation, TRACE_MOL_KG};

use super::equilibrium::Equilibrium;
use super::global_start;
use crate::error::Result;

/// A guess may take ln(1 + x) for x up to this.
const SMALL_CHANGE: f64 = 0.01;
const WARM_STEPS: usize = 15;
const POLISH_STEPS: usize = 60;

impl Speciation {
    /// Solves for the totals with the pH held, and returns the strong base that holds it (negative:
    /// strong acid), mol per unit of the totals.
    ///
    /// # Errors
    /// As [`Speciation::solve`].
    pub fn solve_at_ph(
        &mut self,
        chemistry: &Equilibrium,
        totals: &[f64],
        temperature_k: f64,
        ph: f64,
    ) -> Result<f64> {
        self.closed_by(Closure::HeldPh(ph));
        self.run(chemistry, totals, temperature_k)?;
        Ok(-self.net_charge * self.water_kg_l)
    }

    /// Solves for the totals, in the order of [`Equilibrium::component_names`]: mol/L at 25 degC, or
    /// mol per kilogram of water (see [`Equilibrium::per_litre`]).
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] naming the worst component; [`crate::Error::Stopped`].
    pub fn solve(&mut self, chemistry: &Equilibrium, totals: &[f64], temperature_k: f64) -> Result<()> {
        self.closed_by(Closure::Electroneutral);
        self.run(chemistry, totals, temperature_k)
    }

    /// This liquid as the start of another one, under an equilibrium of the same substances with other constants.
    pub(crate) fn restarted(&self) -> Self {
        let mut start = self.clone();
        start.temperature_k = f64::NAN;
        start.given.fill(f64::NAN);
        start
    }

    fn run(&mut self, chemistry: &Equilibrium, totals: &[f64], temperature_k: f64) -> Result<()> {
        chemistry.stop.go_on()?;
        if self.solved && self.temperature_k == temperature_k && self.given == totals {
            // Asked again: the answer must not move by a rounding error.
            return Ok(());
        }
        self.given.copy_from_slice(totals);
        self.at_temperature(chemistry, temperature_k);
        self.take_totals(chemistry, totals);
        if std::mem::take(&mut self.solved) && self.newton(chemistry, WARM_STEPS) {
            self.solved = true;
            return Ok(());
        }
        global_start::begin(self, chemistry);
        for round in 0..global_start::ROUNDS {
            global_start::approach(self, chemistry, round)?;
            let close = self.clone();
            if self.newton(chemistry, POLISH_STEPS) {
                self.solved = true;
                return Ok(());
            }
            *self = close;
        }
        Err(self.unsolved(chemistry, "the equilibrium of the solution"))
    }

    fn at_temperature(&mut self, chemistry: &Equilibrium, temperature_k: f64) {
        if self.temperature_k != temperature_k {
            self.temperature_k = temperature_k;
            self.factored = false;
            self.earlier.known = 0;
            self.debye_hueckel_a = chemistry.activity.slope_at(temperature_k);
            for (ln_k, species) in self.ln_k.iter_mut().zip(&chemistry.formed) {
                *ln_k = species.constant.ln_k(temperature_k);
            }
            for (value, pair) in self.between.coefficients.iter_mut().zip(&chemistry.pairs) {
                *value = pair.coefficient(temperature_k);
            }
            let moving = self.between.coefficients.iter().take(chemistry.moving_pairs);
            self.between.at_unit_strength.iter_mut().zip(moving).for_each(|(at, value)| *at = *value);
        }
    }

    /// New totals, and the best guess after them: what the last two solutions predict along their line, beside it free
    /// concentrations in proportion.
    fn take_totals(&mut self, chemistry: &Equilibrium, totals: &[f64]) {
        if let Some(volumes) = &chemistry.volumes {
            let water = volumes.water(totals, &mut self.water_slopes);
            (self.water_kg_l, self.water_kg_mol_base) = (water.kg_l, water.kg_mol_base);
        }
        if self.solved {
            self.predict(chemistry, totals);
            for (unknown, position) in chemistry.active.iter().enumerate() {
                let new = (totals[*position] / self.water_kg_l).max(TRACE_MOL_KG);
                let grown = new / self.expected[*position].max(TRACE_MOL_KG) - 1.0;
                self.ln_free[unknown] += if grown.abs() < SMALL_CHANGE { grown } else { grown.ln_1p() };
            }
        }
        for (molal, total) in self.totals.iter_mut().zip(totals) {
            *molal = total / self.water_kg_l;
        }
        let first = chemistry.first_inert();
        for (molality, position) in self.molalities[first..].iter_mut().zip(&chemistry.inert) {
            *molality = self.totals[*position].max(0.0);
        }
    }

    pub(super) fn free_from_logarithms(&mut self) {
        self.exponentials.of(0, &self.ln_free, &mut self.molalities);
    }

    /// Mass action: molalities of the formed species from the free ones.
    pub(super) fn form_species(&mut self, chemistry: &Equilibrium) {
        let first = chemistry.first_formed();
        let (charge_function, ln_water_activity) = (self.charge_function, self.ln_water_activity);
        let (free_shift, shift) = self.between.shift.split_at(first);
        let (free_squares, squares) = chemistry.squares.split_at(first);
        let free = self.ln_free.iter().zip(free_shift.iter().zip(free_squares));
        for (ln_activity, (ln_free, (shift, square))) in self.ln_activities.iter_mut().zip(free) {
            *ln_activity = ln_free + shift - square * charge_function;
        }
        let formed = chemistry.formed.iter().zip(&self.ln_k).zip(shift.iter().zip(squares));
        for (ln_formed, ((species, ln_k), (shift, square))) in self.ln_formed.iter_mut().zip(formed) {
            let mut ln_m = ln_k + species.water * ln_water_activity - shift + square * charge_function;
            for (unknown, coefficient) in &chemistry.terms[species.terms.clone()] {
                ln_m += coefficient * self.ln_activities[*unknown];
            }
            *ln_formed = ln_m;
        }
        self.exponentials.of(first, &self.ln_formed, &mut self.molalities[first..]);
    }
}
