//! Titration: the pH of a solution against what is added of a reagent.
//!
//! T_j = T_j0 + n_j x
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | T_j0, T_j | total of component j before and after | mol/L |
//! | n_j | moles of component j per mole of reagent | - |
//! | x | reagent added | mol/L |
//!
//! The proton a reagent brings or takes follows from electroneutrality. The buffer capacity is that of
//! strong base, d b/d pH, at each point. Range: as far as the activity model is trusted. Source: the
//! mass balances. Assumption: the reagent dissolves without water of its own, so nothing is diluted,
//! and nothing precipitates: solids are watched, see [`Profile::onsets`].

use schemars::JsonSchema;
use serde::Serialize;

use super::equilibrium::Equilibrium;
use super::ph::{Adjustment, adjust_ph};
use super::profile::Profile;
use super::solids::BathSolid;
use super::workspace::Speciation;
use crate::error::Result;

/// Closer than this to the target no reagent is needed; the pH is not known better.
const ALREADY_THERE: f64 = 1e-8;

/// A solution and the reagent it is titrated with.
#[derive(Debug, Clone, Copy)]
pub struct Sample<'a> {
    /// Its chemistry.
    pub equilibrium: &'a Equilibrium,
    /// Totals before anything is added, mol/L.
    pub totals: &'a [f64],
    /// Moles of each component per mole of reagent.
    pub gives: &'a [f64],
    /// Temperature, K.
    pub temperature_k: f64,
    /// Solids that are watched.
    pub solids: &'a [BathSolid],
}

/// A titration curve.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "TitrationCurve")]
pub struct Titration {
    /// Reagent added at each point, mol/L.
    pub amount_mol_l: Vec<f64>,
    /// pH, ionic strength, buffer capacity and species at each point.
    pub profile: Profile,
    /// Targets the solution was past before anything was added; they have no point.
    pub already_past: Vec<f64>,
    /// Targets that no amount reaches; they have no point.
    pub out_of_reach: Vec<f64>,
}

impl Sample<'_> {
    /// The curve at stated amounts, mol/L.
    ///
    /// ```
    /// use bathkin::model::database::built_in;
    /// use bathkin::solution::titration::Sample;
    /// use bathkin::solution::{Activity, Equilibrium};
    ///
    /// // 0.1 mol/kg acetic acid with sodium hydroxide: at half of it the pH is the pK.
    /// let (_, chemistry) = built_in()?;
    /// let names = ["acetate", "sodium"].map(str::to_owned);
    /// let equilibrium = Equilibrium::new(chemistry, &names, Activity::Ideal);
    /// let sample = Sample {
    ///     equilibrium: &equilibrium, totals: &[0.1, 0.0], gives: &[0.0, 1.0], temperature_k: 298.15, solids: &[],
    /// };
    /// let curve = sample.at_amounts(&mut equilibrium.speciation(), &[0.05])?;
    /// assert!((curve.profile.ph[0] - 4.756).abs() < 1e-3);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn at_amounts(&self, speciation: &mut Speciation, amounts_mol_l: &[f64]) -> Result<Titration> {
        let mut curve = self.empty();
        for amount in amounts_mol_l {
            speciation.solve(self.equilibrium, &self.totals_with(*amount), self.temperature_k)?;
            curve.amount_mol_l.push(*amount);
            curve.profile.record(self.equilibrium, speciation)?;
        }
        Ok(curve)
    }

    /// The curve at stated pHs; those that cannot be reached are listed apart.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn to_ph(&self, speciation: &mut Speciation, targets: &[f64]) -> Result<Titration> {
        let mut curve = self.empty();
        for target in targets {
            // Short steps along the curve converge where a long one may not.
            let last = curve.amount_mol_l.last().copied().unwrap_or(0.0);
            let mut found = self.amount_beyond(speciation, last, *target)?;
            if last > 0.0 && !matches!(found, Adjustment::Amount(_)) {
                found = self.amount_for(speciation, *target)?;
            }
            match found {
                Adjustment::Amount(amount) => {
                    curve.amount_mol_l.push(amount);
                    curve.profile.record(self.equilibrium, speciation)?;
                }
                Adjustment::AlreadyPast(_) => curve.already_past.push(*target),
                Adjustment::OutOfReach(_) => curve.out_of_reach.push(*target),
            }
        }
        Ok(curve)
    }

    /// The amount that brings the solution to a pH; `speciation` is then solved for it.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn amount_for(&self, speciation: &mut Speciation, target_ph: f64) -> Result<Adjustment> {
        self.amount_beyond(speciation, 0.0, target_ph)
    }

    /// The same, sought above an amount.
    fn amount_beyond(&self, speciation: &mut Speciation, least: f64, target_ph: f64) -> Result<Adjustment> {
        let mut totals = self.totals_with(least);
        speciation.solve(self.equilibrium, &totals, self.temperature_k)?;
        if (speciation.ph() - target_ph).abs() < ALREADY_THERE {
            return Ok(Adjustment::Amount(least));
        }
        let more =
            adjust_ph(self.equilibrium, speciation, &mut totals, self.gives, self.temperature_k, target_ph)?;
        Ok(match more {
            Adjustment::Amount(more) => Adjustment::Amount(least + more),
            missed => missed,
        })
    }

    fn totals_with(&self, amount_mol_l: f64) -> Vec<f64> {
        self.totals.iter().zip(self.gives).map(|(total, gives)| total + amount_mol_l * gives).collect()
    }

    fn empty(&self) -> Titration {
        Titration {
            amount_mol_l: Vec::new(),
            profile: Profile::new(self.equilibrium, self.solids),
            already_past: Vec::new(),
            out_of_reach: Vec::new(),
        }
    }
}
