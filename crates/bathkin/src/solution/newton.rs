//! Newton's method on the equations of the equilibrium.

use bathkin_numerics::dot;

use super::equilibrium::Equilibrium;
use super::workspace::{Closure, Speciation};
use crate::constants::LN_10;

const CONVERGED: f64 = 1e-10;
/// A residual this small needs no step to confirm it.
const EXACT: f64 = 1e-13;
/// Error of the unknowns, from how fast the steps shrink: a residual alone does not see the proton
/// of an unbuffered solution.
const CONVERGED_STEP: f64 = 2e-10;
/// The same for differences between solutions close to each other: near rounding.
const CONVERGED_EXACTLY: f64 = 1e-13;
/// A kept Jacobian is good while steps shrink at least this fast, and is not tried on long steps.
const FAST: f64 = 0.02;
const LONG: f64 = 0.05;
/// Steps below this owe their length to what follows one step late, not to the Jacobian.
const TINY: f64 = 1e-8;
/// Taken for the first step.
const UNKNOWN_SHRINKAGE: f64 = 0.01;
const LARGEST_STEP: f64 = 2.0;
/// Formed ions below this share of the ionic strength are not unknowns of a step: what the others
/// feel of them follows one step late.
const FELT_SHARE: f64 = 1e-5;

impl Speciation {
    /// Newton's method; true when it converged.
    ///
    /// The factored Jacobian is kept, also from one solve to the next, as long as it still makes
    /// the steps shrink fast: most of a run then needs none of its own.
    pub(super) fn newton(&mut self, chemistry: &Equilibrium, steps: usize) -> bool {
        let strength = chemistry.strength();
        let (mut longest, mut error) = (f64::INFINITY, f64::INFINITY);
        self.newton_steps = 0;
        loop {
            let residual = self.evaluate(chemistry);
            let converged = residual < CONVERGED && error < CONVERGED_STEP;
            let enough = if chemistry.exactly {
                converged && error < CONVERGED_EXACTLY
            } else {
                converged || residual < EXACT
            };
            if enough {
                return true;
            }
            if self.newton_steps == steps || !residual.is_finite() {
                // Steps that shrink no more are rounding.
                return converged;
            }
            let fresh = !self.factored;
            if fresh {
                self.assemble(chemistry, FELT_SHARE);
                if self.lu.factor().is_err() {
                    return false;
                }
                self.factored = true;
            }
            let unknowns = self.lu.size();
            self.step[..unknowns].copy_from_slice(&self.sums[..unknowns]);
            self.lu.solve(&mut self.step);
            let before = longest;
            let (free, others) = self.step[..unknowns].split_at(strength);
            longest = largest(free).max(largest(&others[1..]));
            let shrinkage = if before.is_finite() { longest / before } else { UNKNOWN_SHRINKAGE };
            error = longest * if fresh { longest } else { shrinkage };
            self.factored = (shrinkage < FAST || longest < TINY) && longest < LONG;
            self.take_step(chemistry, if longest > LARGEST_STEP { LARGEST_STEP / longest } else { 1.0 });
            self.newton_steps += 1;
        }
    }

    fn take_step(&mut self, chemistry: &Equilibrium, fraction: f64) {
        for (ln_free, step) in self.ln_free.iter_mut().zip(&self.step) {
            *ln_free -= fraction * step;
        }
        let now = self.ionic_strength_mol_kg;
        let moved = now - fraction * self.step[chemistry.strength()];
        self.ionic_strength_mol_kg = moved.clamp(0.2 * now, 5.0 * now + 1e-9);
        if chemistry.interacting() {
            self.ln_water_activity -= fraction * self.step[chemistry.water()];
            let first = chemistry.lasting_unknowns();
            for (ln_felt, step) in self.between.ln_felt.iter_mut().zip(&self.step[first..]) {
                *ln_felt -= fraction * step;
            }
        }
    }

    /// Molalities at the present unknowns, scaled residuals into `sums`; returns the largest.
    pub(super) fn evaluate(&mut self, chemistry: &Equilibrium) -> f64 {
        (self.charge_function, self.charge_function_slope) =
            chemistry.activity.charge_function(self.debye_hueckel_a, self.ionic_strength_mol_kg);
        self.free_from_logarithms();
        self.interact(chemistry);
        self.form_species(chemistry);
        self.sum_up(chemistry);
        let unknowns = chemistry.lasting_unknowns() + self.between.felt.len();
        largest(&self.sums[..unknowns])
    }

    /// The balances: how far each is off, scaled.
    fn sum_up(&mut self, chemistry: &Equilibrium) {
        let (proton, strength) = (chemistry.proton(), chemistry.strength());
        self.sum_masses(chemistry);
        let charge = dot(&chemistry.charges, &self.molalities);
        let mut squares = dot(&chemistry.squares, &self.molalities);
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
        if chemistry.interacting() {
            self.sums[chemistry.water()] = self.ln_water_activity - self.ln_water_activity_of();
            let felt = self.between.felt.iter().zip(&self.between.ln_felt);
            let last = chemistry.lasting_unknowns();
            for (sum, (number, ln_felt)) in self.sums[last..].iter_mut().zip(felt) {
                *sum = ln_felt - self.ln_formed[*number];
            }
        }
    }

    /// Sums of the active components over everything that holds them, into `sums`.
    pub(super) fn sum_masses(&mut self, chemistry: &Equilibrium) {
        for (unknown, holders) in chemistry.holders.iter().enumerate() {
            let held = chemistry.held[holders.clone()].iter();
            let bound: f64 = held.map(|(substance, count)| count * self.molalities[*substance]).sum();
            self.sums[unknown] = self.molalities[unknown] + bound;
        }
    }
}

/// The largest magnitude; `NaN` where one is.
fn largest(values: &[f64]) -> f64 {
    let (mut most, mut sum) = (0.0, 0.0);
    for value in values {
        let magnitude = value.abs();
        most = if magnitude > most { magnitude } else { most };
        sum += magnitude;
    }
    if sum.is_nan() { sum } else { most }
}
