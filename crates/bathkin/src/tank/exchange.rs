//! Exchange of a gas with the air over the bath: carbon dioxide taken up, ammonia lost.
//!
//! dn/dt = k_L A (c* - c), c* = K_H(T) p
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | k_L | coefficient of the liquid film, `film_m_h` | m/h |
//! | A | open surface | m² |
//! | c* | dissolved molecule in equilibrium with the air | mol/L |
//! | c | dissolved molecule in the bath: CO2(aq), NH3(aq) | mol/L |
//! | p | partial pressure over the bath | atm |
//!
//! Two-film theory with the resistance in the liquid (textbook form; usual coefficients are 0.02 to
//! 0.2 m/h for a quiet to a stirred surface, from memory). The coefficient is the effective one:
//! what a fast reaction in the film adds (carbon dioxide in alkali), and the resistance in the air
//! that holds back a well soluble gas (ammonia), must be in it.

use super::BathState;
use crate::constants::SECONDS_PER_HOUR;
use crate::solution::BathGas;

/// Exchange of one gas, resolved to slots of the tank.
#[derive(Debug, Clone, PartialEq)]
pub struct Exchange {
    /// The gas.
    pub gas: BathGas,
    /// (slot of the liquid, moles brought per mole of gas taken up).
    pub brings: Vec<(usize, f64)>,
    /// Coefficient of the liquid film, m/h.
    pub film_m_h: f64,
    /// Partial pressure over the bath, atm.
    pub partial_pressure_atm: f64,
    /// Open surface, m².
    pub open_surface_m2: f64,
}

impl Exchange {
    /// Gas taken up, mol/s; negative when it leaves.
    pub fn uptake_mol_s(&self, observed: &BathState) -> f64 {
        const LITRES_PER_M3: f64 = 1000.0;
        let (kelvin, water_kg_l) = (observed.temperature_k, observed.water_kg_l);
        let saturated = self.gas.saturated_mol_l(kelvin, water_kg_l, self.partial_pressure_atm);
        let missing = saturated - observed.dissolved_mol_l[self.gas.dissolved];
        self.film_m_h / SECONDS_PER_HOUR * self.open_surface_m2 * LITRES_PER_M3 * missing
    }
}
