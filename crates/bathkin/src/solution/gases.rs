//! Gases over a bath: what its surface would hold of each in equilibrium with the air.
//!
//! Henry's law gives the molality of the dissolved molecule, m* = K_H(T) p, with K_H in mol/(kg atm)
//! and p the partial pressure in atm. Dissolved molecules are neutral and have an activity
//! coefficient of one in every model here: salting-out (roughly a quarter per mol/L of salt for carbon
//! dioxide) is left out.

use super::chemistry::Chemistry;
use super::database::Gas;
use super::equilibrium::Equilibrium;
use super::equilibrium_constant::EquilibriumConstant;

/// A gas resolved to the dissolved substances of one bath.
#[derive(Debug, Clone, PartialEq)]
pub struct BathGas {
    /// Name, as used in recipes.
    pub name: String,
    /// Place of the dissolved molecule in the order of [`super::Speciation::species`].
    pub dissolved: usize,
    henry: EquilibriumConstant,
}

impl Chemistry {
    /// A gas by name.
    pub fn gas(&self, name: &str) -> Option<&Gas> {
        self.gases.iter().find(|gas| gas.name == name)
    }
}

impl BathGas {
    /// The gas over a bath; `None` when its dissolved molecule is not among what the bath can hold.
    pub fn resolve(gas: &Gas, equilibrium: &Equilibrium) -> Option<Self> {
        let dissolved =
            equilibrium.speciation().species(equilibrium).position(|(name, _)| name == gas.dissolved)?;
        Some(BathGas { name: gas.name.clone(), dissolved, henry: gas.henry })
    }

    /// What the solution would hold in equilibrium with the gas at a partial pressure, mol/L.
    pub fn saturated_mol_l(&self, temperature_k: f64, water_kg_l: f64, partial_pressure_atm: f64) -> f64 {
        let ln_k: f64 = self.henry.ln_k(temperature_k);
        ln_k.exp() * partial_pressure_atm * water_kg_l
    }
}
