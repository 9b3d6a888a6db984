//! The liquid at the surface when what the surface uses is given.
//!
//! With w_s = k_s c_s,bath and y_j = ln(c_j,surface/c_j,bath) the balances of the film are
//!
//! sum_s nu_sj w_s exp(sum_i nu_si y_i) = F_j - q_j,   F_j = sum_s nu_sj w_s.
//!
//! The left side is the gradient of the convex function sum_s w_s exp(nu_s . y), so there is one
//! solution or none: none where the film cannot bring what is used. Newton's method with a line
//! search finds it. Components that form no species are alone in their balance and follow directly.

use bathkin_numerics::Lu;

use super::film::{Film, L_M3};
use crate::solution::Exponentials;

const STEPS: usize = 200;
/// Largest change of a logarithm in one step.
const LONGEST_STEP: f64 = 3.0;
/// Balances are closed to this share of what crosses the film.
const TOLERANCE: f64 = 1e-12;
/// A component that is not there is given this much, mol/L: a logarithm needs something to hold.
const TRACE_MOL_L: f64 = 1e-30;

/// The liquid at the surface, and the memory the next solve starts from.
#[derive(Debug, Clone)]
pub(super) struct FilmLiquid {
    /// Every dissolved substance at the surface, mol/L.
    pub(super) dissolved_mol_l: Vec<f64>,
    /// ln(surface/bath) of each component and of the proton.
    pub(super) ln_ratio: Vec<f64>,
    /// w_s, mol/(m² s), and w_s exp(nu_s . y).
    carried: Vec<f64>,
    at_surface: Vec<f64>,
    /// F_j and F_j - q_j.
    supply: Vec<f64>,
    target: Vec<f64>,
    /// Residuals, and what they are measured against.
    residual: Vec<f64>,
    scale: Vec<f64>,
    step: Vec<f64>,
    trial: Vec<f64>,
    /// nu_s . y, and its exponentials.
    exponents: Vec<f64>,
    exponentials: Exponentials,
    /// The balances that are coupled.
    unknowns: Vec<usize>,
    /// (substance, entry of the matrix, what the substance adds to it per w_s exp(nu_s . y)).
    entries: Vec<(usize, usize, f64)>,
    lu: Lu,
}

impl FilmLiquid {
    pub(super) fn new(film: &Film) -> Self {
        let (balances, substances) = (film.balances(), film.made_of.len());
        let unknowns: Vec<usize> = (0..balances).filter(|slot| film.coupled[*slot]).collect();
        let mut place = vec![0; balances];
        for (at, slot) in unknowns.iter().enumerate() {
            place[*slot] = at;
        }
        FilmLiquid {
            dissolved_mol_l: vec![0.0; substances],
            ln_ratio: vec![0.0; balances],
            carried: vec![0.0; substances],
            at_surface: vec![0.0; substances],
            supply: vec![0.0; balances],
            target: vec![0.0; balances],
            residual: vec![0.0; balances],
            scale: vec![0.0; balances],
            step: vec![0.0; unknowns.len()],
            trial: vec![0.0; balances],
            exponents: vec![0.0; substances],
            exponentials: Exponentials::new(substances),
            lu: Lu::new(unknowns.len()),
            entries: entries(film, &place, unknowns.len()),
            unknowns,
        }
    }

    /// Takes the liquid of the bath: every dissolved substance, mol/L.
    pub(super) fn take_bath(&mut self, film: &Film, bath_mol_l: &[f64]) {
        self.supply.fill(0.0);
        for (substance, parts) in film.made_of.iter().enumerate() {
            // A floor under a formed species would make it far too stable once its parts are there.
            let least = if substance < film.balances() { TRACE_MOL_L } else { 0.0 };
            let carried = film.transfer_m_s()[substance] * L_M3 * bath_mol_l[substance].max(least);
            self.carried[substance] = carried;
            for (slot, count) in parts {
                self.supply[*slot] += count * carried;
            }
        }
    }

    /// What the film could bring of a component at most, mol/(m² s).
    pub(super) fn supply_mol_m2_s(&self, slot: usize) -> f64 {
        self.supply[slot]
    }

    /// Forgets where the last solve ended.
    pub(super) fn forget(&mut self) {
        self.ln_ratio.fill(0.0);
    }

    /// The liquid at the surface when the surface uses `used` of each component and of the proton,
    /// mol/(m² s); `false` where the film cannot bring that.
    pub(super) fn solve(&mut self, film: &Film, used: &[f64]) -> bool {
        let proton = film.balances() - 1;
        for (slot, used) in used.iter().enumerate() {
            self.target[slot] = self.supply[slot] - used;
            // No substance holds less than none of a component, so no surface does.
            if slot != proton && self.target[slot] <= 0.0 {
                return false;
            }
        }
        if !self.newton(film) {
            // From the bath, every component thinned or thickened as the balance asks.
            self.guess(film);
            if !self.newton(film) {
                self.forget();
                return false;
            }
        }
        for (substance, at_surface) in self.at_surface.iter().enumerate() {
            self.dissolved_mol_l[substance] = at_surface / (film.transfer_m_s()[substance] * L_M3);
        }
        true
    }

    fn guess(&mut self, film: &Film) {
        let proton = film.balances() - 1;
        for slot in 0..proton {
            self.ln_ratio[slot] = (self.target[slot] / self.supply[slot]).ln();
        }
        self.ln_ratio[proton] = 0.0;
    }

    fn newton(&mut self, film: &Film) -> bool {
        for (slot, coupled) in film.coupled.iter().enumerate() {
            if !coupled {
                self.ln_ratio[slot] = (self.target[slot] / self.supply[slot]).ln();
            }
        }
        self.trial.copy_from_slice(&self.ln_ratio);
        self.evaluate(film);
        for _ in 0..STEPS {
            if self.closed() {
                self.ln_ratio.copy_from_slice(&self.trial);
                return true;
            }
            let Some(slope) = self.newton_step() else { return false };
            self.ln_ratio.copy_from_slice(&self.trial);
            if !self.descend(film, slope) {
                return false;
            }
        }
        false
    }

    /// Shortens the step until the function no longer rises along it: then it has fallen.
    fn descend(&mut self, film: &Film, slope: f64) -> bool {
        const HALVINGS: usize = 40;
        const RISING: f64 = 0.9;
        let longest = self.step.iter().fold(0.0_f64, |most, d| most.max(d.abs()));
        let mut length = (LONGEST_STEP / longest).min(1.0);
        for _ in 0..HALVINGS {
            for (at, slot) in self.unknowns.iter().enumerate() {
                self.trial[*slot] = self.ln_ratio[*slot] + length * self.step[at];
            }
            self.evaluate(film);
            let there: f64 =
                self.unknowns.iter().zip(&self.step).map(|(slot, d)| self.residual[*slot] * d).sum();
            if there.is_finite() && (there <= RISING * slope.abs() || self.closed()) {
                return true;
            }
            length *= 0.5;
        }
        false
    }

    /// Residuals at `trial`.
    fn evaluate(&mut self, film: &Film) {
        for (residual, target) in self.residual.iter_mut().zip(&self.target) {
            *residual = -target;
        }
        self.scale.iter_mut().zip(&self.target).for_each(|(scale, target)| *scale = target.abs());
        for (exponent, parts) in self.exponents.iter_mut().zip(&film.made_of) {
            *exponent = parts.iter().map(|(slot, count)| count * self.trial[*slot]).sum();
        }
        self.exponentials.of(0, &self.exponents, &mut self.at_surface);
        let carried = self.at_surface.iter_mut().zip(&self.carried);
        for ((value, carried), parts) in carried.zip(&film.made_of) {
            *value *= carried;
            for (slot, count) in parts {
                self.residual[*slot] += count * *value;
                self.scale[*slot] += count.abs() * *value;
            }
        }
    }

    fn closed(&self) -> bool {
        self.unknowns.iter().all(|slot| self.residual[*slot].abs() <= TOLERANCE * self.scale[*slot])
    }

    /// The Newton step at `trial`, and the slope of the function along it; nothing where the matrix
    /// is singular. Rows and columns are scaled by the diagonal: traces stand beside salts.
    fn newton_step(&mut self) -> Option<f64> {
        let n = self.unknowns.len();
        self.lu.clear();
        let matrix = self.lu.matrix_mut();
        for (substance, entry, times) in &self.entries {
            matrix[*entry] += times * self.at_surface[*substance];
        }
        for (at, slot) in self.unknowns.iter().enumerate() {
            self.scale[*slot] = matrix[at * n + at].sqrt().recip();
        }
        for ((row, entries), step) in self.unknowns.iter().zip(matrix.chunks_exact_mut(n)).zip(&mut self.step)
        {
            let of_row = self.scale[*row];
            for (entry, column) in entries.iter_mut().zip(&self.unknowns) {
                *entry *= of_row * self.scale[*column];
            }
            *step = -self.residual[*row] * of_row;
        }
        self.lu.factor().ok()?;
        self.lu.solve(&mut self.step);
        let mut slope = 0.0;
        for (d, slot) in self.step.iter_mut().zip(&self.unknowns) {
            *d *= self.scale[*slot];
            slope += *d * self.residual[*slot];
        }
        slope.is_finite().then_some(slope)
    }
}

/// See [`FilmLiquid::entries`]: nu_si nu_sj for every pair of coupled balances that a substance is in.
fn entries(film: &Film, place: &[usize], n: usize) -> Vec<(usize, usize, f64)> {
    let mut entries = Vec::new();
    for (substance, parts) in film.made_of.iter().enumerate() {
        for (row, of_row) in parts.iter().filter(|(slot, _)| film.coupled[*slot]) {
            for (column, of_column) in parts {
                entries.push((substance, place[*row] * n + place[*column], of_row * of_column));
            }
        }
    }
    entries
}
