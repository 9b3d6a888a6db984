//! Density: how much water a litre of solution holds.
//!
//! A litre holds w kg of water when w/rho_w + sum_i T_i V_i = 1, with apparent molar volumes
//! V_i = a_i + b_i √I of the components (V of the proton is zero by convention) and I the ionic
//! strength of the totals taken as free ions.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | T_i | total of a component at 25 degC | mol/L |
//! | V_i | apparent molar volume | cm³/mol |
//! | rho_w | density of water at 25 degC | kg/L |
//!
//! Source: additive apparent volumes, coefficients in the constants file, fitted to Laliberté,
//! J. Chem. Eng. Data 54 (2009) 1725. Good to 2 kg/m³ at 25 degC and 5 kg/m³ at 80 degC.

use super::water;
use crate::constants::REFERENCE_TEMPERATURE_K;

/// Apparent molar volume of a component.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ApparentVolume {
    /// a, cm³/mol.
    pub a_cm3_mol: f64,
    /// b, cm³ kg^½/mol^(3/2).
    pub b_cm3_kg05_mol15: f64,
}

/// The volumes of a solution's components, in their order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Volumes {
    of: Vec<ApparentVolume>,
    water_kg_l: f64,
}

impl Volumes {
    pub(super) fn new(of: Vec<ApparentVolume>) -> Self {
        Volumes { of, water_kg_l: water::density_kg_m3(REFERENCE_TEMPERATURE_K) * 1e-3 }
    }

    /// Water in a litre, kg, and the volume of the solutes per mole of each, L.
    ///
    /// `slopes` receives d(water)/d(total), kg/mol, at constant apparent volumes.
    pub(super) fn water_kg_l(&self, totals_mol_l: &[f64], charges: &[f64], slopes: &mut [f64]) -> f64 {
        const ROUNDS: usize = 3;
        let strength: f64 =
            0.5 * totals_mol_l.iter().zip(charges).map(|(t, z)| t.max(0.0) * z * z).sum::<f64>();
        let mut water = self.water_kg_l;
        for _ in 0..ROUNDS {
            let root = (strength / water).sqrt();
            let mut solutes = 0.0;
            for ((volume, total), slope) in self.of.iter().zip(totals_mol_l).zip(slopes.iter_mut()) {
                let litres = (volume.a_cm3_mol + volume.b_cm3_kg05_mol15 * root) * 1e-3;
                *slope = -litres * self.water_kg_l;
                solutes += total.max(0.0) * litres;
            }
            // A recipe with more salt than volume has no water left; a floor keeps the message for
            // the equilibrium to give.
            water = (self.water_kg_l * (1.0 - solutes)).max(0.05);
        }
        water
    }
}
