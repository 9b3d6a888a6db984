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
//! Molalities inside; totals and answers are per litre when the equilibrium knows the volumes of
//! its components. Newton's method with the analytic Jacobian (`jacobian.rs`) starts from the
//! last solution; when it does not converge within a few steps, [`super::global_start`] brings it
//! close from anywhere.

use bathkin_numerics::Lu;

use super::chemistry::PROTON;
use super::equilibrium::Equilibrium;
use super::global_start;
use crate::constants::LN_10;
use crate::error::{Error, Result};

/// Totals below this are solved as if they were this, mol/kg: a logarithm needs something to hold.
pub const TRACE_MOL_KG: f64 = 1e-14;

const CONVERGED: f64 = 1e-10;
/// A residual this small needs no step to confirm it.
const EXACT: f64 = 1e-13;
/// Error of the unknowns, from how fast the steps shrink: a residual alone does not see the proton
/// of an unbuffered solution.
const CONVERGED_STEP: f64 = 2e-10;
/// A kept Jacobian is good while steps shrink at least this fast, and is not tried on long steps.
const FAST: f64 = 0.05;
const LONG: f64 = 0.05;
const UNKNOWN_SHRINKAGE: f64 = 0.02;
/// The ionic strength of pure water, mol/kg.
pub(super) const SMALLEST_SCALE: f64 = 1e-7;
const LARGEST_STEP: f64 = 2.0;
const WARM_STEPS: usize = 15;
const POLISH_STEPS: usize = 60;

/// What fixes the proton.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Closure {
    /// The charges add up to nothing.
    Electroneutral,
    /// The pH is held; strong acid or base, taken as ideal ions of charge one, makes up the charge.
    HeldPh(f64),
}

/// A solved solution, and at the same time the memory the next solve starts from.
#[derive(Debug, Clone)]
pub struct Speciation {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Ionic strength, mol/kg.
    pub ionic_strength_mol_kg: f64,
    /// Water in a litre at 25 degC, kg; one when totals are per kilogram of water.
    pub water_kg_l: f64,
    /// ln of the water activity.
    pub ln_water_activity: f64,
    /// Newton steps of the last solve.
    pub newton_steps: usize,
    pub(super) closure: Closure,
    /// Net charge of everything dissolved, mol/kg.
    pub(super) net_charge: f64,
    /// ln of the molality of the free active components, then of the proton.
    pub(super) ln_free: Vec<f64>,
    /// Molalities: free active components, proton, formed species, inert components.
    pub(super) molalities: Vec<f64>,
    pub(super) ln_k: Vec<f64>,
    pub(super) charge_function: f64,
    pub(super) charge_function_slope: f64,
    /// ln(10) sum eps m for each dissolved substance, and its slope with I at constant molalities.
    pub(super) interaction: Vec<f64>,
    pub(super) interaction_slope: Vec<f64>,
    pub(super) before: Vec<f64>,
    pub(super) moves: Vec<f64>,
    /// ln(10) eps of each pair at the temperature and ionic strength.
    pub(super) coefficients: Vec<f64>,
    pub(super) lu: Lu,
    pub(super) sums: Vec<f64>,
    pub(super) step: Vec<f64>,
    /// d ln m / d unknown for each substance, row by row; see `jacobian.rs`.
    pub(super) sensitivity: Vec<f64>,
    pub(super) spread: Vec<f64>,
    pub(super) step_row: Vec<f64>,
    /// Totals as given.
    given: Vec<f64>,
    /// Totals per kilogram of water.
    pub(super) totals: Vec<f64>,
    /// d(water)/d(total), kg/mol.
    pub(super) water_slopes: Vec<f64>,
    pub(super) debye_hueckel_a: f64,
    solved: bool,
    /// The factored Jacobian in `lu` belongs to a solution nearby.
    pub(super) factored: bool,
}

impl Speciation {
    /// Empty memory for an equilibrium, to be filled by [`Speciation::solve`].
    pub(super) fn empty(chemistry: &Equilibrium) -> Self {
        let (unknowns, substances) = (chemistry.proton() + 2, chemistry.charges.len());
        let columns = unknowns + chemistry.inert.len();
        Speciation {
            temperature_k: f64::NAN,
            ionic_strength_mol_kg: 0.1,
            water_kg_l: 1.0,
            ln_water_activity: 0.0,
            newton_steps: 0,
            closure: Closure::Electroneutral,
            net_charge: 0.0,
            ln_free: vec![0.0; chemistry.active.len() + 1],
            molalities: vec![0.0; substances],
            ln_k: vec![0.0; chemistry.formed.len()],
            charge_function: 0.0,
            charge_function_slope: 0.0,
            interaction: vec![0.0; substances],
            interaction_slope: vec![0.0; substances],
            before: vec![0.0; substances],
            moves: vec![0.0; substances],
            coefficients: vec![0.0; chemistry.pairs.len()],
            lu: Lu::new(unknowns),
            sums: vec![0.0; unknowns],
            step: vec![0.0; unknowns],
            sensitivity: vec![0.0; substances * columns],
            spread: vec![0.0; substances * columns],
            step_row: vec![0.0; columns],
            given: vec![f64::NAN; chemistry.component_names.len()],
            totals: vec![0.0; chemistry.component_names.len()],
            water_slopes: vec![0.0; chemistry.component_names.len()],
            debye_hueckel_a: 0.0,
            solved: false,
            factored: false,
        }
    }

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

    pub(super) fn closed_by(&mut self, closure: Closure) {
        if self.closure != closure {
            self.closure = closure;
            self.factored = false;
            self.given.fill(f64::NAN);
        }
    }

    /// Solves for the totals, in the order of [`Equilibrium::component_names`]: mol/L at 25 degC, or
    /// mol per kilogram of water (see [`Equilibrium::per_litre`]).
    ///
    /// # Errors
    /// [`Error::Convergence`] naming the worst component.
    pub fn solve(&mut self, chemistry: &Equilibrium, totals: &[f64], temperature_k: f64) -> Result<()> {
        self.closed_by(Closure::Electroneutral);
        self.run(chemistry, totals, temperature_k)
    }

    fn run(&mut self, chemistry: &Equilibrium, totals: &[f64], temperature_k: f64) -> Result<()> {
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
        for _ in 0..global_start::ROUNDS {
            global_start::approach(self, chemistry)?;
            let close = (self.ln_free.clone(), self.interaction.clone(), self.ln_water_activity);
            let strength = self.ionic_strength_mol_kg;
            if self.newton(chemistry, POLISH_STEPS) {
                self.solved = true;
                return Ok(());
            }
            (self.ln_free, self.interaction, self.ln_water_activity) = close;
            self.ionic_strength_mol_kg = strength;
        }
        Err(Error::Convergence {
            what: "the equilibrium of the solution".to_owned(),
            time_h: None,
            residual: self.sums.iter().fold(0.0_f64, |most, r| most.max(r.abs())),
            worst: self.worst(chemistry),
        })
    }

    /// pH = -log10 a(H+), on the molal activity scale.
    pub fn ph(&self) -> f64 {
        let proton = self.ln_free.len() - 1;
        (self.charge_function - self.interaction[proton] - self.ln_free[proton]) / LN_10
    }

    /// Ionic strength, mol/L.
    pub fn ionic_strength_mol_l(&self) -> f64 {
        self.ionic_strength_mol_kg * self.water_kg_l
    }

    /// Free concentration of a component, mol/L.
    pub fn free_mol_l(&self, chemistry: &Equilibrium, position: usize) -> f64 {
        self.molalities[chemistry.substance(position)] * self.water_kg_l
    }

    /// ln of the activity of a free component: molality times coefficient.
    pub fn ln_activity(&self, chemistry: &Equilibrium, position: usize) -> f64 {
        let substance = chemistry.substance(position);
        let charge = chemistry.component_charges[position];
        self.molalities[substance].max(TRACE_MOL_KG).ln() - charge * charge * self.charge_function
            + self.interaction[substance]
    }

    /// Every dissolved substance with its concentration, mol/L: free components, proton, species.
    pub fn species<'a>(&'a self, chemistry: &'a Equilibrium) -> impl Iterator<Item = (&'a str, f64)> + 'a {
        let components = (0..chemistry.component_names.len()).map(move |position| {
            (chemistry.component_names[position].as_str(), self.free_mol_l(chemistry, position))
        });
        let proton = chemistry.proton();
        let formed = chemistry.species_names.iter().zip(&self.molalities[proton + 1..]);
        components
            .chain(std::iter::once((PROTON, self.molalities[proton] * self.water_kg_l)))
            .chain(formed.map(|(name, molality)| (name.as_str(), *molality * self.water_kg_l)))
    }

    pub(super) fn total(&self, position: usize) -> f64 {
        self.totals[position].max(TRACE_MOL_KG)
    }

    /// Residuals of the charge balance and of the ionic strength are measured against this.
    pub(super) fn strength_scale(&self) -> f64 {
        self.ionic_strength_mol_kg.max(SMALLEST_SCALE)
    }

    fn at_temperature(&mut self, chemistry: &Equilibrium, temperature_k: f64) {
        if self.temperature_k != temperature_k {
            self.temperature_k = temperature_k;
            self.factored = false;
            self.debye_hueckel_a = chemistry.activity.slope_at(temperature_k);
            for (ln_k, species) in self.ln_k.iter_mut().zip(&chemistry.formed) {
                *ln_k = species.constant.ln_k(temperature_k);
            }
        }
    }

    /// New totals, and the best guess after them: free concentrations move in proportion.
    fn take_totals(&mut self, chemistry: &Equilibrium, totals: &[f64]) {
        self.water_kg_l = chemistry
            .volumes
            .as_ref()
            .map_or(1.0, |volumes| volumes.water_kg_l(totals, &mut self.water_slopes));
        for (unknown, position) in chemistry.active.iter().enumerate() {
            let old = self.total(*position);
            let new = (totals[*position] / self.water_kg_l).max(TRACE_MOL_KG);
            if self.solved && old != new {
                self.ln_free[unknown] += (new / old).ln();
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

    /// Newton's method; true when it converged.
    ///
    /// The factored Jacobian is kept, also from one solve to the next, as long as it still makes
    /// the steps shrink fast: most of a run then needs none of its own.
    fn newton(&mut self, chemistry: &Equilibrium, steps: usize) -> bool {
        let strength = chemistry.proton() + 1;
        let (mut longest, mut error) = (f64::INFINITY, f64::INFINITY);
        self.newton_steps = 0;
        if !chemistry.pairs.is_empty() {
            self.free_from_logarithms();
            self.interact(chemistry);
        }
        loop {
            let residual = self.evaluate(chemistry);
            if residual < EXACT || (residual < CONVERGED && error < CONVERGED_STEP) {
                return true;
            }
            if self.newton_steps == steps || !residual.is_finite() {
                return false;
            }
            let fresh = !self.factored;
            if fresh {
                self.assemble(chemistry);
                if self.lu.factor().is_err() {
                    return false;
                }
                self.factored = true;
            }
            self.step.copy_from_slice(&self.sums);
            self.lu.solve(&mut self.step);
            let before = longest;
            longest = self.step[..strength].iter().fold(0.0_f64, |most, s| most.max(s.abs()));
            let shrinkage = if before.is_finite() { longest / before } else { UNKNOWN_SHRINKAGE };
            error = longest * if fresh { longest } else { shrinkage };
            self.factored = shrinkage < FAST && longest < LONG;
            let fraction = if longest > LARGEST_STEP { LARGEST_STEP / longest } else { 1.0 };
            for (ln_free, step) in self.ln_free.iter_mut().zip(&self.step) {
                *ln_free -= fraction * step;
            }
            let now = self.ionic_strength_mol_kg;
            self.ionic_strength_mol_kg =
                (now - fraction * self.step[strength]).clamp(0.2 * now, 5.0 * now + 1e-9);
            self.foretell_interactions(chemistry, fraction);
            self.newton_steps += 1;
        }
    }

    /// Molalities at the present unknowns, scaled residuals into `sums`; returns the largest.
    fn evaluate(&mut self, chemistry: &Equilibrium) -> f64 {
        let (proton, strength) = (chemistry.proton(), chemistry.proton() + 1);
        (self.charge_function, self.charge_function_slope) =
            chemistry.activity.charge_function(self.debye_hueckel_a, self.ionic_strength_mol_kg);
        self.free_from_logarithms();
        self.form_species(chemistry);
        let mut moved = 0.0;
        if !chemistry.pairs.is_empty() {
            // The interactions were foretold with the step: once more with what came of it.
            moved = self.interact(chemistry);
            self.settle_interactions(chemistry);
            self.form_species(chemistry);
        }
        self.sums.fill(0.0);
        self.sums[..=proton].copy_from_slice(&self.molalities[..=proton]);
        for (number, species) in chemistry.formed.iter().enumerate() {
            let molality = self.molalities[strength + number];
            for (unknown, coefficient) in &chemistry.terms[species.terms.clone()] {
                self.sums[*unknown] += coefficient * molality;
            }
        }
        let (mut charge, mut squares) = (0.0, 0.0);
        for (z, molality) in chemistry.charges.iter().zip(&self.molalities) {
            charge += z * molality;
            squares += z * z * molality;
        }
        for (unknown, position) in chemistry.active.iter().enumerate() {
            self.sums[unknown] = self.sums[unknown] / self.total(*position) - 1.0;
        }
        self.net_charge = charge;
        self.sums[proton] = match self.closure {
            Closure::Electroneutral => charge / self.strength_scale(),
            Closure::HeldPh(ph) => {
                squares += charge.abs();
                (self.ph() - ph) * LN_10
            }
        };
        self.sums[strength] = (self.ionic_strength_mol_kg - 0.5 * squares) / self.strength_scale();
        // What the coefficients still move is a second-order remainder of the step.
        const REMAINDER: f64 = 1e-3;
        let start = moved * REMAINDER;
        self.sums.iter().fold(start, |most, r| if r.is_nan() { f64::NAN } else { most.max(r.abs()) })
    }

    pub(super) fn free_from_logarithms(&mut self) {
        for (molality, ln) in self.molalities.iter_mut().zip(&self.ln_free) {
            *molality = ln.exp();
        }
    }

    /// Mass action: molalities of the formed species from the free ones.
    pub(super) fn form_species(&mut self, chemistry: &Equilibrium) {
        let first = chemistry.proton() + 1;
        for (number, species) in chemistry.formed.iter().enumerate() {
            let mut ln_m = self.ln_k[number] - species.square_charge_change * self.charge_function
                + species.water * self.ln_water_activity
                - self.interaction[first + number];
            for (unknown, coefficient) in &chemistry.terms[species.terms.clone()] {
                ln_m += coefficient * (self.ln_free[*unknown] + self.interaction[*unknown]);
            }
            self.molalities[first + number] = ln_m.exp();
        }
    }

    pub(super) fn worst(&self, chemistry: &Equilibrium) -> String {
        let worst = self.sums.iter().enumerate().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        worst.map_or_else(
            || "the charge balance".to_owned(),
            |(unknown, _)| self.unknown_name(chemistry, unknown),
        )
    }

    pub(super) fn unknown_name(&self, chemistry: &Equilibrium, unknown: usize) -> String {
        chemistry.active.get(unknown).map_or_else(
            || "the charge balance".to_owned(),
            |position| chemistry.component_names[*position].clone(),
        )
    }
}
