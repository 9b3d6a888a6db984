//! Setting a pH: how much of a named acid or base brings a solution to it.

use bathkin_numerics::{RootError, bracketed_root};

use super::equilibrium::{Equilibrium, Speciation};
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
    let start = totals.to_vec();
    let mut trial = start.clone();
    let mut off_target = |amount: f64| -> Result<f64> {
        for ((value, base), give) in trial.iter_mut().zip(&start).zip(gives) {
            *value = base + amount * give;
        }
        speciation.solve(chemistry, &trial, temperature_k)?;
        Ok(speciation.ph() - target_ph)
    };

    let at_none = off_target(0.0)?;
    let mut high = 1e-3;
    let mut at_high = off_target(high)?;
    while at_high.signum() == at_none.signum() {
        // A reagent that moves the pH the wrong way will never get there.
        if at_high.abs() > at_none.abs() + 1e-9 {
            return Ok(Adjustment::AlreadyPast(at_none + target_ph));
        }
        if high >= LARGEST_ADJUSTMENT_MOL_L {
            return Ok(Adjustment::OutOfReach(at_high + target_ph));
        }
        high = (high * 2.0).min(LARGEST_ADJUSTMENT_MOL_L);
        at_high = off_target(high)?;
    }
    let amount = match bracketed_root(&mut off_target, 0.0, high, 1e-13, 200) {
        Ok(amount) => amount,
        Err(RootError::Function(error)) => return Err(error),
        // The bracket holds by construction, so what is left is a root narrower than the tolerance.
        Err(_) => high,
    };
    off_target(amount)?;
    totals.copy_from_slice(&trial);
    Ok(Adjustment::Amount(amount))
}
