//! Solids: how far a solution is from precipitation.
//!
//! A solid forms from the components like a species does, sum_j nu_j A_j -> solid, with a constant K
//! of **formation**; the solubility product of a handbook is its reciprocal. The saturation index is
//!
//! SI = log10(IAP/Ksp) = log10 K(T) + sum_j nu_j log10 a_j,
//!
//! with the activities of the free components, of the proton (from the pH) and of water. Below zero
//! the solid would dissolve, at zero it is in equilibrium, above zero it can fall out. Baths carry
//! some oversaturation for hours, and the solid that falls first is often not the stablest one: an
//! index says what can happen, not when.
//!
//! Solids are not taken out of the solution: the index tells of the liquid before anything fell.

use bathkin_numerics::{Bracket, RootError, narrow_bracket};

use super::activity_product::ActivityProduct;
use super::chemistry::Chemistry;
use super::equilibrium::Equilibrium;
use super::equilibrium_constant::EquilibriumConstant;
use super::workspace::Speciation;
use crate::constants::LN_10;
use crate::error::Result;

/// Saturation index from which a solution counts as oversaturated: what two decimals show.
pub const OVERSATURATED: f64 = 0.005;

/// Most strong base or acid that moves a pH, mol/L: with more it is another solution.
pub const MOST_BASE_MOL_L: f64 = 5.0;

/// A solid resolved to the components of one bath.
#[derive(Debug, Clone, PartialEq)]
pub struct BathSolid {
    /// Name, as used in recipes.
    pub name: String,
    /// Name for people.
    pub title: String,
    constant: EquilibriumConstant,
    product: ActivityProduct,
}

impl BathSolid {
    /// The solids whose components are all in a bath, in the order of the constants.
    pub fn of_bath(chemistry: &Chemistry, equilibrium: &Equilibrium) -> Vec<Self> {
        chemistry
            .solids
            .iter()
            .filter_map(|solid| {
                Some(BathSolid {
                    product: ActivityProduct::resolve(chemistry, &solid.forms_from, equilibrium)?,
                    name: solid.name.clone(),
                    title: solid.title.clone(),
                    constant: solid.constant,
                })
            })
            .collect()
    }

    /// True when the component at a position of the bath is part of the solid.
    pub fn contains(&self, position: usize) -> bool {
        self.product.contains(position)
    }

    /// Saturation index SI = log10(IAP/Ksp) in a solved solution, at its temperature.
    ///
    /// ```
    /// use bathkin::model::database::built_in;
    /// use bathkin::solution::{Activity, BathSolid, Equilibrium};
    /// let (_, chemistry) = built_in()?;
    /// let names = ["silver", "chloride"].map(str::to_owned);
    /// let equilibrium = Equilibrium::new(chemistry, &names, Activity::Ideal);
    /// let mut speciation = equilibrium.speciation();
    /// speciation.solve(&equilibrium, &[1e-6, 1e-6], 298.15)?;
    /// let solids = BathSolid::of_bath(chemistry, &equilibrium);
    /// let chloride = solids.iter().find(|solid| solid.name == "silver_chloride").unwrap();
    /// // 1e-6 times 1e-6 against 10^-9.75.
    /// assert!((chloride.saturation_index(&equilibrium, &speciation) + 2.25).abs() < 0.01);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn saturation_index(&self, equilibrium: &Equilibrium, speciation: &Speciation) -> f64 {
        let ln_k: f64 = self.constant.ln_k(speciation.temperature_k);
        (ln_k + self.product.ln(equilibrium, speciation)) / LN_10
    }

    /// log10 K at 25 degC.
    pub fn log_k_25c(&self) -> f64 {
        match self.constant {
            EquilibriumConstant::VantHoff { log_k_25c, .. } => log_k_25c,
            EquilibriumConstant::Water => {
                self.constant.ln_k(crate::constants::REFERENCE_TEMPERATURE_K) / LN_10
            }
        }
    }
}

/// A solution whose pH is moved with strong base or acid until a solid is just saturated.
///
/// The base is the hydroxide of the alkali metal the solution holds (sodium before potassium), which
/// counts in an old bath: tenths of a mole per litre. In a solution without, and for acid, it is an
/// ideal ion of charge one.
#[derive(Debug)]
pub struct PrecipitationOnset<'a> {
    equilibrium: &'a Equilibrium,
    totals: &'a [f64],
    /// Totals with the base in them.
    now: Vec<f64>,
    alkali: Option<usize>,
    temperature_k: f64,
    speciation: Speciation,
}

impl<'a> PrecipitationOnset<'a> {
    /// Starts from a solution of these totals at a temperature.
    pub fn new(equilibrium: &'a Equilibrium, totals: &'a [f64], temperature_k: f64) -> Self {
        let names = equilibrium.component_names();
        let alkali = ["sodium", "potassium"].iter().find_map(|metal| names.iter().position(|n| n == metal));
        let speciation = equilibrium.speciation();
        PrecipitationOnset { equilibrium, totals, now: totals.to_vec(), alkali, temperature_k, speciation }
    }

    /// Saturation index with the pH held by strong base or acid; `None` when more than
    /// [`MOST_BASE_MOL_L`] would be needed.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn saturation_index_at(&mut self, solid: &BathSolid, ph: f64) -> Result<Option<f64>> {
        let held = self.hold(ph)?;
        Ok(held.then(|| solid.saturation_index(self.equilibrium, &self.speciation)))
    }

    /// Solves with the pH held; false when that takes too much.
    ///
    /// The base is found by the secant method on what is still missing, since each addition moves the
    /// activities and with them what holds the pH.
    fn hold(&mut self, ph: f64) -> Result<bool> {
        const SETTLED_MOL_L: f64 = 1e-11;
        const MOST_ROUNDS: usize = 30;
        self.now.copy_from_slice(self.totals);
        let (mut added, mut before) = (0.0, None);
        for _ in 0..MOST_ROUNDS {
            let missing = self.speciation.solve_at_ph(self.equilibrium, &self.now, self.temperature_k, ph)?;
            let Some(alkali) = self.alkali else { return Ok(missing.abs() <= MOST_BASE_MOL_L) };
            if added == 0.0 && missing < 0.0 {
                return Ok(-missing <= MOST_BASE_MOL_L);
            }
            if missing.abs() <= SETTLED_MOL_L {
                return Ok(true);
            }
            if added == MOST_BASE_MOL_L && missing > 0.0 {
                return Ok(false);
            }
            let step = match before {
                Some((less, lacked)) if lacked != missing => -missing * (added - less) / (missing - lacked),
                _ => missing,
            };
            before = Some((added, missing));
            added = (added + step).clamp(0.0, MOST_BASE_MOL_L);
            self.now[alkali] = self.totals[alkali] + added;
        }
        // What the secants still chase is the round-off of the equilibrium.
        Ok(true)
    }

    /// The pH at which the solid is just saturated, SI = 0, nearest to `from_ph`: upwards with base
    /// while the solution is clear, downwards with acid when it is already oversaturated. `None`
    /// when there is none between pH 0 and 14 that [`MOST_BASE_MOL_L`] of base or acid reach.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn ph(&mut self, solid: &BathSolid, from_ph: f64) -> Result<Option<f64>> {
        const STEP: f64 = 0.1;
        const RANGE: std::ops::RangeInclusive<f64> = 0.0..=14.0;
        let Some(start) = self.saturation_index_at(solid, from_ph)? else { return Ok(None) };
        if start == 0.0 {
            return Ok(Some(from_ph));
        }
        let step = if start < 0.0 { STEP } else { -STEP };
        let (mut near, mut at_near) = (from_ph, start);
        while RANGE.contains(&(near + step)) {
            let far = near + step;
            let Some(index) = self.saturation_index_at(solid, far)? else { return Ok(None) };
            if index.signum() != start.signum() {
                let bracket = Bracket { low: near, high: far, f_low: at_near, f_high: index };
                return self.between(solid, bracket).map(Some);
            }
            (near, at_near) = (far, index);
        }
        Ok(None)
    }

    /// The root in a bracket, whose ends are not looked at again: one of them may be the root to rounding.
    fn between(&mut self, solid: &BathSolid, bracket: Bracket) -> Result<f64> {
        const TOLERANCE_PH: f64 = 1e-12;
        const MOST_EVALUATIONS: usize = 200;
        // Both ends are within reach, so what lies between them is too.
        let index = |ph| Ok(self.saturation_index_at(solid, ph)?.unwrap_or(f64::NAN));
        match narrow_bracket(index, bracket, TOLERANCE_PH, MOST_EVALUATIONS) {
            Ok(end) => Ok(if end.f_low.abs() < end.f_high.abs() { end.low } else { end.high }),
            Err(RootError::Function(error)) => Err(error),
            // The bracket holds by construction; what is left is a root narrower than the tolerance.
            Err(_) => Ok(bracket.high),
        }
    }
}
