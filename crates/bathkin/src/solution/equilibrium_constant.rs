//! Equilibrium constants and how they move with temperature.

use super::water;
use crate::constants::{GAS_CONSTANT_J_MOL_K, LN_10, REFERENCE_TEMPERATURE_K};
use crate::scalar::Scalar;

/// The formation constant of a species from its components, at infinite dilution (molal).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EquilibriumConstant {
    /// Enthalpy and heat capacity about 25 degC:
    ///
    /// ln K(T) = ln K0 + dH/R (1/T0 - 1/T) + dCp/R (T0/T - 1 + ln(T/T0)), T0 = 298.15 K.
    ///
    /// Without the heat capacity a buffer at 90 degC is wrong by more than 0.1 pH.
    VantHoff {
        /// log10 K at 25 degC.
        log_k_25c: f64,
        /// Enthalpy of the formation reaction, kJ/mol.
        enthalpy_kj_mol: f64,
        /// Heat capacity of the formation reaction, J/(mol K).
        heat_capacity_j_mol_k: f64,
    },
    /// Hydroxide from water: minus the pKw of IAPWS R11-07 ([`water::pkw`]).
    Water,
}

impl EquilibriumConstant {
    /// The same with log10 K moved at every temperature; a law of water stays as it is.
    pub fn moved(self, by_log_k: f64) -> Self {
        match self {
            EquilibriumConstant::VantHoff { log_k_25c, enthalpy_kj_mol, heat_capacity_j_mol_k } => {
                let log_k_25c = log_k_25c + by_log_k;
                EquilibriumConstant::VantHoff { log_k_25c, enthalpy_kj_mol, heat_capacity_j_mol_k }
            }
            EquilibriumConstant::Water => self,
        }
    }

    /// ln K at a temperature in kelvin.
    ///
    /// ```
    /// use bathkin::solution::EquilibriumConstant;
    /// // Acetic acid (Goldberg et al. 2002): pK 4.756 at 25 degC, close to 4.90 at 90 degC.
    /// let acetic = EquilibriumConstant::VantHoff {
    ///     log_k_25c: 4.756, enthalpy_kj_mol: 0.41, heat_capacity_j_mol_k: 142.0,
    /// };
    /// let log_k_90c: f64 = acetic.ln_k(363.15) / std::f64::consts::LN_10;
    /// assert!((log_k_90c - 4.90).abs() < 0.01);
    /// ```
    pub fn ln_k<D: Scalar>(&self, temperature_k: D) -> D {
        match *self {
            EquilibriumConstant::VantHoff { log_k_25c, enthalpy_kj_mol, heat_capacity_j_mol_k } => {
                let ratio = temperature_k.recip() * REFERENCE_TEMPERATURE_K;
                let enthalpy = enthalpy_kj_mol * 1e3 / (GAS_CONSTANT_J_MOL_K * REFERENCE_TEMPERATURE_K);
                let heat_capacity = heat_capacity_j_mol_k / GAS_CONSTANT_J_MOL_K;
                (-ratio + 1.0) * enthalpy + (ratio - 1.0 - ratio.ln()) * heat_capacity + log_k_25c * LN_10
            }
            EquilibriumConstant::Water => water::pkw(temperature_k) * -LN_10,
        }
    }

    /// Derivatives of ln K by log10 K at 25 degC, the enthalpy (mol/kJ) and the heat capacity (mol K/J) at a temperature
    /// in kelvin: it is linear in the three, so that each is ln K of one of it alone.
    pub fn slopes(temperature_k: f64) -> [f64; 3] {
        let alone = |[log_k_25c, enthalpy_kj_mol, heat_capacity_j_mol_k]: [f64; 3]| {
            let constant =
                EquilibriumConstant::VantHoff { log_k_25c, enthalpy_kj_mol, heat_capacity_j_mol_k };
            constant.ln_k(temperature_k)
        };
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(alone)
    }
}
