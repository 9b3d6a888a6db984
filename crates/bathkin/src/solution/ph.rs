//! Setting a pH: how much of a named acid or base brings a solution to it.

use bathkin_numerics::{RootError, bracketed_root};

use super::equilibrium::Equilibrium;
use super::speciation::Speciation;
use crate::error::Result;

/// Largest amount of acid or base tried, mol/L: above this it is another solution.
pub const LARGEST_ADJUSTMENT_MOL_L: f64 = 20.0;

/// What came of setting a pH.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Adjustment {
    /// The reagent needed, mol/L.
    Amount(f64),
    /// The solution is already past the target without any; its pH.
    AlreadyPast(f64),
    /// Even the largest amount leaves this pH.
    OutOfReach(f64),
}

/// The amount of a reagent that brings `totals` to `target_ph` at `temperature_k`.
///
/// `gives` holds the moles of each component of the solution per mole of reagent (the proton it
/// brings or takes follows from electroneutrality). On return `totals` include the reagent and
/// `speciation` is solved for them.
///
/// # Errors
/// [`crate::Error::Convergence`] from the equilibrium.
pub fn adjust_ph(
    chemistry: &Equilibrium,
    speciation: &mut Speciation,
    totals: &mut [f64],
    gives: &[f64],
    temperature_k: f64,
    target_ph: f64,
) -> Result<Adjustment> {
    let mut titration = Titration {
        chemistry,
        speciation,
        start: totals.to_vec(),
        now: totals.to_vec(),
        gives,
        temperature_k,
        target_ph,
    };
    let outcome = match titration.newton()? {
        Some(amount) => Adjustment::Amount(amount),
        None => titration.bracket()?,
    };
    if let Adjustment::Amount(amount) = outcome {
        titration.off_target(amount)?;
        totals.copy_from_slice(&titration.now);
    }
    Ok(outcome)
}

/// A solution being titrated.
struct Titration<'a> {
    chemistry: &'a Equilibrium,
    speciation: &'a mut Speciation,
    start: Vec<f64>,
    now: Vec<f64>,
    gives: &'a [f64],
    temperature_k: f64,
    target_ph: f64,
}

impl Titration<'_> {
    /// pH less the target after an amount of the reagent, mol/L.
    fn off_target(&mut self, amount: f64) -> Result<f64> {
        for ((now, start), give) in self.now.iter_mut().zip(&self.start).zip(self.gives) {
            *now = start + amount * give;
        }
        self.speciation.solve(self.chemistry, &self.now, self.temperature_k)?;
        Ok(self.speciation.ph() - self.target_ph)
    }

    /// Newton's method on the titration curve; `None` when it does not settle at once.
    fn newton(&mut self) -> Result<Option<f64>> {
        const STEPS: usize = 8;
        const CLOSE: f64 = 1e-11;
        let mut slopes = vec![0.0; self.start.len()];
        let mut amount = 0.0;
        for _ in 0..STEPS {
            let off = self.off_target(amount)?;
            if off.abs() < CLOSE && amount > 0.0 {
                return Ok(Some(amount));
            }
            self.speciation.ph_slopes(self.chemistry, &mut slopes)?;
            let slope: f64 = slopes.iter().zip(self.gives).map(|(slope, give)| slope * give).sum();
            amount -= off / slope;
            if !(0.0..=LARGEST_ADJUSTMENT_MOL_L).contains(&amount) {
                return Ok(None);
            }
        }
        Ok(None)
    }

    /// The slow and sure way, which also tells why a pH cannot be reached.
    fn bracket(&mut self) -> Result<Adjustment> {
        let at_none = self.off_target(0.0)?;
        let mut high = 1e-3;
        let mut at_high = self.off_target(high)?;
        while at_high.signum() == at_none.signum() {
            // A reagent that moves the pH the wrong way will never get there.
            if at_high.abs() > at_none.abs() + 1e-9 {
                return Ok(Adjustment::AlreadyPast(at_none + self.target_ph));
            }
            if high >= LARGEST_ADJUSTMENT_MOL_L {
                return Ok(Adjustment::OutOfReach(at_high + self.target_ph));
            }
            high = (high * 2.0).min(LARGEST_ADJUSTMENT_MOL_L);
            at_high = self.off_target(high)?;
        }
        match bracketed_root(|amount| self.off_target(amount), 0.0, high, 1e-13, 200) {
            Ok(amount) => Ok(Adjustment::Amount(amount)),
            Err(RootError::Function(error)) => Err(error),
            // The bracket holds by construction, so what is left is a root narrower than the tolerance.
            Err(_) => Ok(Adjustment::Amount(high)),
        }
    }
}
