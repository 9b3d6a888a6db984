//! The distribution diagram: how a component is shared among its species over pH.
//!
//! f_s = nu_s c_s / T
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | f_s | share of the component in species s | - |
//! | nu_s | how many of the component species s holds | - |
//! | c_s | concentration of species s | mol/L |
//! | T | total of the component | mol/L |
//!
//! Range: pH 0 to 14, as far as the activity model is trusted. Source: the mass balance.
//! Assumption: the pH is held by a strong acid or base of ideal ions (see
//! [`Speciation::solve_at_ph`]), and nothing precipitates: solids are watched, see [`Profile::onsets`].

use super::chemistry::Chemistry;
use super::equilibrium::Equilibrium;
use super::profile::{Profile, held_by};
use super::solids::BathSolid;
use super::workspace::Speciation;
use crate::error::{Error, Result};

/// Below this total, mol/L, a component is shown as its traces would be shared.
const NOTHING_MOL_L: f64 = 1e-12;

/// A solution over pH.
#[derive(Debug, Clone, PartialEq)]
pub struct Distribution {
    /// Totals it was computed for, mol/L.
    pub totals_mol_l: Vec<f64>,
    /// Strong base that holds each pH (negative: strong acid), mol/L.
    pub base_mol_l: Vec<f64>,
    /// pH, ionic strength, buffer capacity and species at each point.
    pub profile: Profile,
}

impl Distribution {
    /// The solution of `totals` at each pH, `solids` watched; every point starts from the one before.
    ///
    /// ```
    /// use bathkin::model::database::built_in;
    /// use bathkin::solution::{Activity, Distribution, Equilibrium};
    ///
    /// let (_, chemistry) = built_in()?;
    /// let equilibrium = Equilibrium::new(chemistry, &["acetate".to_owned()], Activity::Ideal);
    /// let mut speciation = equilibrium.speciation();
    /// let over_ph = Distribution::over_ph(&equilibrium, &mut speciation, &[], &[0.1], 298.15, &[4.756])?;
    /// let shares = over_ph.fractions(chemistry, &equilibrium, 0);
    /// assert_eq!(shares[1].0, "acetic_acid");
    /// assert!((shares[1].1[0] - 0.5).abs() < 1e-9);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Convergence`] naming the pH.
    pub fn over_ph(
        equilibrium: &Equilibrium,
        speciation: &mut Speciation,
        solids: &[BathSolid],
        totals: &[f64],
        temperature_k: f64,
        ph: &[f64],
    ) -> Result<Self> {
        let mut over = Distribution {
            totals_mol_l: totals.to_vec(),
            base_mol_l: Vec::with_capacity(ph.len()),
            profile: Profile::new(equilibrium, solids),
        };
        for at in ph {
            let held = speciation
                .solve_at_ph(equilibrium, totals, temperature_k, *at)
                .map_err(|error| named_at(error, *at))?;
            over.base_mol_l.push(held);
            over.profile.record(equilibrium, speciation)?;
        }
        Ok(over)
    }

    /// The share of a component, by its position among the totals, in each species that holds it:
    /// the free component first, then its species.
    pub fn fractions(
        &self,
        chemistry: &Chemistry,
        equilibrium: &Equilibrium,
        position: usize,
    ) -> Vec<(String, Vec<f64>)> {
        let counts = held_by(chemistry, equilibrium, &equilibrium.component_names()[position]);
        let holding: Vec<_> =
            self.profile.species_mol_l.iter().zip(counts).filter(|(_, count)| *count != 0.0).collect();
        let wholes: Vec<f64> = (0..self.profile.ph.len())
            .map(|point| match self.totals_mol_l[position] {
                total if total > NOTHING_MOL_L => total,
                _ => holding.iter().map(|((_, mol_l), count)| count * mol_l[point]).sum(),
            })
            .collect();
        let share = |count: f64, mol_l: &[f64]| {
            mol_l.iter().zip(&wholes).map(|(c, whole)| count * c / whole.max(f64::MIN_POSITIVE)).collect()
        };
        holding.iter().map(|((name, mol_l), count)| (name.clone(), share(*count, mol_l))).collect()
    }
}

/// The metal that is not its free ion, and for every component that binds it the part bound to the
/// metal, as shares of their totals; what there is none of is left out.
///
/// 1 - c_M/T_M for the metal, sum of nu_L c_s over the species s with both, over T_L, for a ligand: a
/// protonated ligand is as free for the metal as a bare one.
pub fn complexed_fractions(
    chemistry: &Chemistry,
    equilibrium: &Equilibrium,
    speciation: &Speciation,
    totals: &[f64],
    metal: usize,
) -> Vec<(String, f64)> {
    let names = equilibrium.component_names();
    let with_metal = held_by(chemistry, equilibrium, &names[metal]);
    let mol_l: Vec<f64> = speciation.species(equilibrium).map(|(_, c)| c).collect();
    let free = 1.0 - speciation.free_mol_l(equilibrium, metal) / totals[metal];
    let mut found = vec![(names[metal].clone(), free)];
    for (position, name) in names.iter().enumerate() {
        if position == metal || totals[position] <= NOTHING_MOL_L {
            continue;
        }
        let counts = held_by(chemistry, equilibrium, name);
        let both: Vec<usize> =
            (0..counts.len()).filter(|s| with_metal[*s] != 0.0 && counts[*s] != 0.0).collect();
        if !both.is_empty() {
            let bound: f64 = both.iter().map(|s| counts[*s] * mol_l[*s]).sum();
            found.push((name.clone(), bound / totals[position]));
        }
    }
    found
}

/// The same failure, saying at which pH.
fn named_at(mut error: Error, ph: f64) -> Error {
    if let Error::Convergence { what, .. } = &mut error {
        *what = format!("{what} at pH {ph}");
    }
    error
}
