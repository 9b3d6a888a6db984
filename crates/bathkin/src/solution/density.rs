//! Density: how much water a litre of solution holds.
//!
//! A litre holds w kg of water when w/rho_w + sum_i T_i V_i = 1, with apparent molar volumes
//! V_i = a_i + b_i √I of the components. V of the proton is zero by convention; an excess of base,
//! which is a lack of protons, counts as hydroxide. I is the formal ionic strength: every component
//! free, in the form it has in a bath (orthophosphite as H2PO3-).
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
    /// Charge of the form that counts in the formal ionic strength.
    pub form_charge: f64,
}

/// The volumes of a solution's components, in their order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Volumes {
    of: Vec<ApparentVolume>,
    hydroxide: ApparentVolume,
    charges: Vec<f64>,
    pure_kg_l: f64,
}

/// The water of a litre of solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Water {
    /// kg/L.
    pub(super) kg_l: f64,
    /// d(water)/d(base), kg/mol: what hydroxide beside a cation without a volume takes the place of.
    pub(super) kg_mol_base: f64,
}

impl Volumes {
    /// Volumes and charges of the components, and the volume of hydroxide.
    pub(super) fn new(of: Vec<ApparentVolume>, hydroxide: ApparentVolume, charges: Vec<f64>) -> Self {
        Volumes { of, hydroxide, charges, pure_kg_l: water::density_kg_m3(REFERENCE_TEMPERATURE_K) * 1e-3 }
    }

    /// Water in a litre of solution, kg.
    ///
    /// `slopes` receives d(water)/d(total), kg/mol.
    pub(super) fn water(&self, totals_mol_l: &[f64], slopes: &mut [f64]) -> Water {
        // The root of the strength moves little with the water: Newton's method settles at once.
        const ROUNDS: usize = 20;
        const SETTLED: f64 = 1e-13;
        // Less water than this is a slurry; the equilibrium will say so.
        const LEAST_KG_L: f64 = 0.05;
        let (mut base, mut squares, mut a, mut b) = (0.0, 0.0, 0.0, 0.0);
        for ((total, of), charge) in totals_mol_l.iter().zip(&self.of).zip(&self.charges) {
            let total = total.max(0.0);
            base += total * charge;
            squares += total * of.form_charge * of.form_charge;
            a += total * of.a_cm3_mol;
            b += total * of.b_cm3_kg05_mol15;
        }
        let base = base.max(0.0);
        squares += base;
        a += base * self.hydroxide.a_cm3_mol;
        b += base * self.hydroxide.b_cm3_kg05_mol15;
        let mut water = self.pure_kg_l * (1.0 - a * 1e-3);
        let mut root = 0.0;
        for _ in 0..ROUNDS {
            water = water.max(LEAST_KG_L);
            root = (0.5 * squares / water).sqrt();
            let off = water - self.pure_kg_l * (1.0 - (a + b * root) * 1e-3);
            let slope = 1.0 - 0.5 * self.pure_kg_l * b * root * 1e-3 / water;
            water -= off / slope;
            if off.abs() < SETTLED {
                break;
            }
        }
        let water = water.max(LEAST_KG_L);
        // The root moves with the totals and, a little, with the water itself.
        let through_root = 0.5 * self.pure_kg_l * b * root * 1e-3;
        let per_square = if squares > 0.0 { through_root / squares } else { 0.0 };
        let displaced = |cm3_mol: f64, square: f64| {
            -(self.pure_kg_l * cm3_mol * 1e-3 + per_square * square) / (1.0 - through_root / water)
        };
        let kg_mol_base = if base > 0.0 { displaced(self.hydroxide.at(root), 1.0) } else { 0.0 };
        for ((slope, volume), charge) in slopes.iter_mut().zip(&self.of).zip(&self.charges) {
            *slope = displaced(volume.at(root), volume.form_charge.powi(2)) + charge * kg_mol_base;
        }
        Water { kg_l: water, kg_mol_base }
    }
}

impl ApparentVolume {
    /// cm³/mol at the root of the formal ionic strength.
    fn at(&self, root_of_strength: f64) -> f64 {
        self.a_cm3_mol + self.b_cm3_kg05_mol15 * root_of_strength
    }
}

/// Mass of a litre of solution over a litre of water at 25 degC: specific gravity.
///
/// `solutes_g_l` is the mass of everything dissolved, `water_kg_l` the water beside it.
pub fn specific_gravity(solutes_g_l: f64, water_kg_l: f64) -> f64 {
    (solutes_g_l * 1e-3 + water_kg_l) / (water::density_kg_m3(REFERENCE_TEMPERATURE_K) * 1e-3)
}

/// Density of a solution at a temperature, kg/m³, from its mass at 25 degC.
///
/// rho = (w + s)/(w/rho_w(T) + 1 L - w/rho_w(25 degC)): the water expands, what is dissolved keeps its
/// volume.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | s | mass of everything dissolved in a litre at 25 degC, `solutes_g_l` | g/L |
/// | w | water beside it, `water_kg_l` | kg/L |
///
/// Good to 5 kg/m³ at 80 degC. Source: as the module.
pub fn density_kg_m3(solutes_g_l: f64, water_kg_l: f64, temperature_k: f64) -> f64 {
    let expanded = water_kg_l / water::density_kg_m3(temperature_k)
        - water_kg_l / water::density_kg_m3(REFERENCE_TEMPERATURE_K);
    (solutes_g_l * 1e-3 + water_kg_l) / (1e-3 + expanded)
}
