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

use bathkin_numerics::Lu;

use super::equilibrium::Equilibrium;
use super::exponential::Exponential;
use super::global_start;
use super::slopes::Direct;
use crate::error::{Error, Result};

/// Totals below this are solved as if they were this, mol/kg: a logarithm needs something to hold.
pub const TRACE_MOL_KG: f64 = 1e-14;

/// The ionic strength of pure water, mol/kg.
pub(super) const SMALLEST_SCALE: f64 = 1e-7;
/// A guess may take ln(1 + x) for x up to this.
const SMALL_CHANGE: f64 = 0.01;
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
    /// ln of their activity.
    pub(super) ln_activities: Vec<f64>,
    /// Molalities: free active components, proton, formed species, inert components.
    pub(super) molalities: Vec<f64>,
    /// Exponentials of `ln_free` and of `ln_formed`.
    pub(super) exponentials: Vec<Exponential>,
    /// ln of the molalities of the formed species.
    pub(super) ln_formed: Vec<f64>,
    pub(super) ln_k: Vec<f64>,
    pub(super) charge_function: f64,
    pub(super) charge_function_slope: f64,
    /// Memory of the interactions between ions.
    pub(super) between: Interactions,
    pub(super) lu: Lu,
    /// Residuals of the equations, scaled.
    pub(super) sums: Vec<f64>,
    pub(super) step: Vec<f64>,
    /// d ln g / d unknown of every substance, row by row; see `jacobian.rs`.
    pub(super) coefficient_rows: Vec<f64>,
    /// d ln m / d unknown of every formed species, row by row.
    pub(super) formed_rows: Vec<f64>,
    /// Memory of the derivatives.
    pub(super) direct: Direct,
    /// Totals as given.
    given: Vec<f64>,
    /// Totals per kilogram of water.
    pub(super) totals: Vec<f64>,
    /// d(water)/d(total), kg/mol.
    pub(super) water_slopes: Vec<f64>,
    /// d(water)/d(base), kg/mol, of a base whose cation has no volume.
    pub(super) water_kg_mol_base: f64,
    pub(super) debye_hueckel_a: f64,
    solved: bool,
    /// The factored Jacobian in `lu` belongs to a solution nearby.
    pub(super) factored: bool,
}

/// What ions do to each other: memory of [`super::interaction`].
#[derive(Debug, Clone)]
pub(super) struct Interactions {
    /// ln(10) eps of each pair at the temperature and ionic strength.
    pub(super) coefficients: Vec<f64>,
    /// The same at the temperature and 1 mol/kg, of the pairs that move with ionic strength.
    pub(super) at_unit_strength: Vec<f64>,
    /// The molalities that act on the other ions: those of the unknowns.
    pub(super) acting: Vec<f64>,
    /// ln(10) sum eps m for each dissolved substance, and its slope with I at constant molalities.
    pub(super) shift: Vec<f64>,
    pub(super) shift_slope: Vec<f64>,
    /// Species numbers of the formed ions whose molality is an unknown, and its ln.
    pub(super) felt: Vec<usize>,
    pub(super) ln_felt: Vec<f64>,
    pub(super) exponentials: Vec<Exponential>,
    /// Unknown that moves the acting molality of a substance; none for what hardly acts.
    pub(super) unknown_of: Vec<Option<usize>>,
}

impl Interactions {
    /// Back to ions that do not feel each other.
    pub(super) fn forget(&mut self, chemistry: &Equilibrium) {
        self.shift.fill(0.0);
        self.shift_slope.fill(0.0);
        self.felt.clear();
        self.ln_felt.clear();
        self.unknown_of[chemistry.first_formed()..].fill(None);
    }
}

impl Speciation {
    /// Empty memory for an equilibrium, to be filled by [`Speciation::solve`].
    pub(super) fn empty(chemistry: &Equilibrium) -> Self {
        let (formed, substances) = (chemistry.formed.len(), chemistry.charges.len());
        let most = chemistry.lasting_unknowns() + if chemistry.interacting() { formed } else { 0 };
        let mut unknown_of: Vec<Option<usize>> = vec![None; substances];
        for (unknown, of) in unknown_of.iter_mut().enumerate().take(chemistry.proton() + 1) {
            *of = Some(unknown);
        }
        let interacting = if chemistry.interacting() { substances } else { 0 };
        Speciation {
            temperature_k: f64::NAN,
            ionic_strength_mol_kg: 0.1,
            water_kg_l: 1.0,
            ln_water_activity: 0.0,
            newton_steps: 0,
            closure: Closure::Electroneutral,
            net_charge: 0.0,
            ln_free: vec![0.0; chemistry.active.len() + 1],
            ln_activities: vec![0.0; chemistry.active.len() + 1],
            molalities: vec![0.0; substances],
            exponentials: vec![Exponential::NEW; substances],
            ln_formed: vec![0.0; formed],
            ln_k: vec![0.0; formed],
            charge_function: 0.0,
            charge_function_slope: 0.0,
            between: Interactions {
                coefficients: vec![0.0; chemistry.pairs.len()],
                at_unit_strength: vec![0.0; chemistry.moving_pairs],
                acting: vec![0.0; interacting],
                shift: vec![0.0; substances],
                shift_slope: vec![0.0; substances],
                felt: Vec::with_capacity(formed),
                ln_felt: Vec::with_capacity(formed),
                exponentials: vec![Exponential::NEW; formed],
                unknown_of,
            },
            lu: Lu::new(most),
            sums: vec![0.0; most],
            step: vec![0.0; most],
            coefficient_rows: vec![0.0; substances * most],
            formed_rows: vec![0.0; formed * most],
            direct: Direct::new(substances, formed),
            given: vec![f64::NAN; chemistry.component_names.len()],
            totals: vec![0.0; chemistry.component_names.len()],
            water_slopes: vec![0.0; chemistry.component_names.len()],
            water_kg_mol_base: 0.0,
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
    /// [`Error::Convergence`] naming the worst component; [`Error::Stopped`].
    pub fn solve(&mut self, chemistry: &Equilibrium, totals: &[f64], temperature_k: f64) -> Result<()> {
        self.closed_by(Closure::Electroneutral);
        self.run(chemistry, totals, temperature_k)
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
        Err(Error::Convergence {
            what: "the equilibrium of the solution".to_owned(),
            time_h: None,
            residual: self.sums.iter().fold(0.0_f64, |most, r| most.max(r.abs())),
            worst: self.worst(chemistry),
        })
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
            for (value, pair) in self.between.coefficients.iter_mut().zip(&chemistry.pairs) {
                *value = pair.coefficient(temperature_k);
            }
            let moving = self.between.coefficients.iter().take(chemistry.moving_pairs);
            self.between.at_unit_strength.iter_mut().zip(moving).for_each(|(at, value)| *at = *value);
        }
    }

    /// New totals, and the best guess after them: free concentrations move in proportion.
    fn take_totals(&mut self, chemistry: &Equilibrium, totals: &[f64]) {
        if let Some(volumes) = &chemistry.volumes {
            let water = volumes.water(totals, &mut self.water_slopes);
            (self.water_kg_l, self.water_kg_mol_base) = (water.kg_l, water.kg_mol_base);
        }
        for (unknown, position) in chemistry.active.iter().enumerate() {
            let old = self.total(*position);
            let new = (totals[*position] / self.water_kg_l).max(TRACE_MOL_KG);
            if self.solved {
                let grown = new / old - 1.0;
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
        for ((molality, exponential), ln) in
            self.molalities.iter_mut().zip(&mut self.exponentials).zip(&self.ln_free)
        {
            *molality = exponential.of(*ln);
        }
    }

    /// Mass action: molalities of the formed species from the free ones.
    pub(super) fn form_species(&mut self, chemistry: &Equilibrium) {
        let first = chemistry.first_formed();
        let (charges, shift) = (&chemistry.charges, &self.between.shift);
        for (unknown, ln_free) in self.ln_free.iter().enumerate() {
            self.ln_activities[unknown] =
                ln_free + shift[unknown] - charges[unknown].powi(2) * self.charge_function;
        }
        for (number, species) in chemistry.formed.iter().enumerate() {
            let mut ln_m = self.ln_k[number] + species.water * self.ln_water_activity - shift[first + number]
                + species.charge * species.charge * self.charge_function;
            for (unknown, coefficient) in &chemistry.terms[species.terms.clone()] {
                ln_m += coefficient * self.ln_activities[*unknown];
            }
            self.ln_formed[number] = ln_m;
            self.molalities[first + number] = self.exponentials[first + number].of(ln_m);
        }
    }

    pub(super) fn worst(&self, chemistry: &Equilibrium) -> String {
        let unknowns = chemistry.lasting_unknowns() + self.between.felt.len();
        let worst = self.sums[..unknowns].iter().enumerate().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        worst.map_or_else(
            || "the charge balance".to_owned(),
            |(unknown, _)| self.unknown_name(chemistry, unknown),
        )
    }

    pub(super) fn unknown_name(&self, chemistry: &Equilibrium, unknown: usize) -> String {
        let felt = unknown.checked_sub(chemistry.lasting_unknowns()).and_then(|k| self.between.felt.get(k));
        match (chemistry.active.get(unknown), felt) {
            (Some(position), _) => chemistry.component_names[*position].clone(),
            (None, Some(number)) => chemistry.species_names[*number].clone(),
            (None, None) => "the charge balance".to_owned(),
        }
    }
}
