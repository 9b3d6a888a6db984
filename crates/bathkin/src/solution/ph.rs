//! Setting a pH: how much of a named acid or base brings a solution to it.

use bathkin_numerics::{RootError, bracketed_root};

use super::equilibrium::Equilibrium;
use super::workspace::Speciation;
use crate::error::{Error, Result};

/// Largest amount of acid or base tried, mol/L: above this it is another solution.
pub const LARGEST_ADJUSTMENT_MOL_L: f64 = 20.0;

/// Most steps before the slow and sure way.
const STEPS: usize = 8;
/// How close to the target is there.
const CLOSE: f64 = 1e-11;

/// What came of setting a pH.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Adjustment {
    /// The reagent needed, mol/L.
    Amount(f64),
    /// The solution is already past the target without any; its pH.
    AlreadyPast(f64),
    /// Even the largest amount leaves this pH: [`LARGEST_ADJUSTMENT_MOL_L`], or the most that makes a
    /// solution the activity model still describes.
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
    adjust_ph_again(chemistry, speciation, totals, gives, temperature_k, target_ph, &mut None)
}

/// An amount that brought a solution to its pH, and the slope of the pH by it there, L/mol: where the search begins in a
/// solution like it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastAdjustment {
    amount: f64,
    slope: f64,
}

/// [`adjust_ph`] of one of many solutions that are much alike: begins at the amount of the last one, and leaves its own.
///
/// # Errors
/// As [`adjust_ph`].
pub fn adjust_ph_again(
    chemistry: &Equilibrium,
    speciation: &mut Speciation,
    totals: &mut [f64],
    gives: &[f64],
    temperature_k: f64,
    target_ph: f64,
    last: &mut Option<LastAdjustment>,
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
    let again = match last.take() {
        Some(known) => titration.secant(known)?,
        None => None,
    };
    let found = match again {
        Some(found) => Some(found),
        None => titration.newton()?,
    };
    *last = found;
    let outcome = match found {
        Some(found) => Adjustment::Amount(found.amount),
        None => titration.bracket()?,
    };
    if let Adjustment::Amount(amount) = outcome {
        titration.off_target(amount)?;
        totals.copy_from_slice(&titration.now);
    }
    Ok(outcome)
}

/// The same in both directions: a pH above the target takes out what the reagent would bring, as if less
/// of it had gone in. `None` when Newton's method does not settle, or a total would fall below zero.
///
/// # Errors
/// [`crate::Error::Convergence`] from the equilibrium.
pub fn settle_ph(
    chemistry: &Equilibrium,
    speciation: &mut Speciation,
    totals: &mut [f64],
    gives: &[f64],
    temperature_k: f64,
    target_ph: f64,
) -> Result<Option<f64>> {
    const SETTLING_STEPS: usize = 40;
    const SETTLED: f64 = 1e-13;
    let start = totals.to_vec();
    let mut titration =
        Titration { chemistry, speciation, now: start.clone(), start, gives, temperature_k, target_ph };
    let (mut amount, mut before) = (0.0, f64::INFINITY);
    for _ in 0..SETTLING_STEPS {
        let off = titration.off_target(amount)?;
        // Steps that help no more are rounding.
        if off.abs() < SETTLED || (off.abs() < 1e-10 && off.abs() >= before) {
            let possible = titration.now.iter().all(|total| *total >= 0.0);
            totals.copy_from_slice(&titration.now);
            return Ok(possible.then_some(amount));
        }
        before = off.abs();
        amount -= off / titration.slope()?;
        if amount.is_nan() || amount.abs() > LARGEST_ADJUSTMENT_MOL_L {
            return Ok(None);
        }
    }
    Ok(None)
}

/// How an amount that settled a pH moves with the totals and with the pH itself, for solutions close by.
#[derive(Debug, Clone)]
pub struct SettledSensitivities {
    totals: Vec<f64>,
    amount: f64,
    target_ph: f64,
    slopes: Vec<f64>,
    by_amount: f64,
}

impl SettledSensitivities {
    /// About a solution that `amount` of the reagent brought to `target_ph`, `speciation` solved for it.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] where the slopes do not exist.
    pub fn about(
        chemistry: &Equilibrium,
        speciation: &mut Speciation,
        totals: &[f64],
        gives: &[f64],
        amount: f64,
        target_ph: f64,
    ) -> Result<Self> {
        let mut slopes = vec![0.0; totals.len()];
        speciation.ph_sensitivities(chemistry, &mut slopes)?;
        let by_amount = slopes.iter().zip(gives).map(|(slope, give)| slope * give).sum();
        Ok(SettledSensitivities { totals: totals.to_vec(), amount, target_ph, slopes, by_amount })
    }

    /// The amount for totals, as they are without it, and a pH close by.
    pub fn amount(&self, totals: &[f64], gives: &[f64], target_ph: f64) -> f64 {
        let moved = |((slope, give), (now, settled)): ((&f64, &f64), (&f64, &f64))| {
            slope * (now + self.amount * give - settled)
        };
        let off: f64 = self.slopes.iter().zip(gives).zip(totals.iter().zip(&self.totals)).map(moved).sum();
        self.amount + (target_ph - self.target_ph - off) / self.by_amount
    }
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

    /// Slope of the pH by the amount of the reagent, L/mol, where the solution was solved last.
    fn slope(&mut self) -> Result<f64> {
        self.speciation.ph_slope_along(self.chemistry, self.gives)
    }

    /// Newton's method on the titration curve; `None` when it does not settle at once.
    fn newton(&mut self) -> Result<Option<LastAdjustment>> {
        let (mut amount, mut slope) = (0.0, f64::NAN);
        for _ in 0..STEPS {
            let Some(off) = self.off_target_if_any(amount)? else { return Ok(None) };
            if off.abs() < CLOSE && amount > 0.0 {
                return Ok(Some(LastAdjustment { amount, slope }));
            }
            slope = self.slope()?;
            amount -= off / slope;
            if !(0.0..=LARGEST_ADJUSTMENT_MOL_L).contains(&amount) {
                return Ok(None);
            }
        }
        Ok(None)
    }

    /// The secant method from an amount and slope known of a solution like it; `None` when it does not settle at once.
    fn secant(&mut self, known: LastAdjustment) -> Result<Option<LastAdjustment>> {
        /// Differences of the pH below this are too rounded for a slope.
        const ROUNDED: f64 = 1e-6;
        let LastAdjustment { mut amount, mut slope } = known;
        let mut before: Option<(f64, f64)> = None;
        for _ in 0..STEPS {
            let Some(off) = self.off_target_if_any(amount)? else { return Ok(None) };
            if let Some((at, was)) = before
                && (off - was).abs() > ROUNDED
            {
                slope = (off - was) / (amount - at);
            }
            if off.abs() < CLOSE && amount > 0.0 {
                return Ok(Some(LastAdjustment { amount, slope }));
            }
            before = Some((amount, off));
            amount -= off / slope;
            if !(0.0..=LARGEST_ADJUSTMENT_MOL_L).contains(&amount) {
                return Ok(None);
            }
        }
        Ok(None)
    }

    /// The same, `None` where the amount makes no solution that the model describes.
    fn off_target_if_any(&mut self, amount: f64) -> Result<Option<f64>> {
        match self.off_target(amount) {
            Ok(off) => Ok(Some(off)),
            Err(Error::Convergence { .. }) if amount > 0.0 => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// The slow and sure way, which also tells why a pH cannot be reached.
    fn bracket(&mut self) -> Result<Adjustment> {
        const FIRST: f64 = 1e-3;
        const NARROW: f64 = 1e-3;
        let at_none = self.off_target(0.0)?;
        let (mut low, mut at_low) = (0.0, at_none);
        let (mut high, mut most) = (FIRST, LARGEST_ADJUSTMENT_MOL_L);
        loop {
            let Some(at_high) = self.off_target_if_any(high)? else {
                // Too much for the model: what it can still describe may do.
                most = high;
                high = 0.5 * (low + high);
                if most - low < NARROW * most {
                    return Ok(Adjustment::OutOfReach(at_low + self.target_ph));
                }
                continue;
            };
            if at_high.signum() != at_none.signum() {
                return self.between(low, high, at_low);
            }
            // A reagent that moves the pH the wrong way will never get there.
            if at_high.abs() > at_none.abs() + 1e-9 {
                return Ok(Adjustment::AlreadyPast(at_none + self.target_ph));
            }
            (low, at_low) = (high, at_high);
            if most - low < NARROW * most {
                return Ok(Adjustment::OutOfReach(at_low + self.target_ph));
            }
            high = if most < LARGEST_ADJUSTMENT_MOL_L { 0.5 * (low + most) } else { (high * 2.0).min(most) };
        }
    }

    /// The amount between two on either side of the target; `at_low` is how far off the lower one is.
    fn between(&mut self, low: f64, high: f64, at_low: f64) -> Result<Adjustment> {
        match bracketed_root(|amount| self.off_target(amount), low, high, 1e-13, 200) {
            Ok(amount) => Ok(Adjustment::Amount(amount)),
            // Beyond the model somewhere between the two.
            Err(RootError::Function(Error::Convergence { .. })) if low > 0.0 => {
                Ok(Adjustment::OutOfReach(at_low + self.target_ph))
            }
            Err(RootError::Function(error)) => Err(error),
            // The bracket holds by construction, so what is left is a root narrower than the tolerance.
            Err(_) => Ok(Adjustment::Amount(high)),
        }
    }
}
